//! What the host's project keeps of an instance.

use std::time::{Duration, Instant};

use candlemark_files::to_toml;
use candlemark_session::yardstick::{Record, RecordBand, Yardstick};
use candlemark_tests::paths;
use serde_json::{Value, json};

pub(crate) use crate::host::with_yardstick;
use crate::host::{Instance, Placement, assert_same, blocks, framed};
use crate::material::{noise, noises};

pub(crate) fn save(instance: &mut Instance) -> Vec<u8> {
    instance.save_state()
}

/// Whether the plugin took it.
pub(crate) fn load(instance: &mut Instance, saved: &[u8]) -> bool {
    instance.load_state(saved)
}

fn yardstick(saved: &[u8]) -> String {
    let state: Value = serde_json::from_slice(&saved[8..]).expect("it is JSON");
    let field = state["fields"]["yardstick"].as_str().expect("it has the yardstick");
    serde_json::from_str(field).expect("the yardstick is a text")
}

/// A yardstick whose text needs every kind of quoting.
pub(crate) fn a_yardstick() -> String {
    let bands = (0..31).map(|index| RecordBand {
        hz: candlemark_analysis::bands::NOMINAL_HZ[index],
        relative_db: -20.0 - index as f64 / 3.0,
        low_db: -25.0 - index as f64 / 3.0,
        high_db: -15.0 - index as f64 / 3.0,
        fold_db: (index > 3).then_some(-0.1),
    });
    to_toml(&Yardstick {
        name: "kitchen".into(),
        records: vec![Record {
            title: "A \"quoted\" title \\ with ünïcode".into(),
            duration_s: 201.5,
            section: false,
            integrated_lufs: -11.25,
            range_lu: Some(5.5),
            true_peak_dbtp: Some(-0.3),
            plr_db: Some(10.95),
            psr_loud_db: Some(8.0),
            crest_db: Some(12.0),
            fold_db: Some(-0.5),
            correlation: Some(0.6),
            bands: bands.collect(),
        }],
    })
}

fn still_passes(instance: &mut Instance, what: &str) {
    let input = noises(2, 7, 5000);
    let output = instance.play(&input, &blocks(5000, &[512]), Placement::InPlace);
    assert_same(&output, &input, what);
}

#[test]
fn a_fresh_instance_has_no_yardstick_and_its_state_loads() {
    let saved = save(&mut Instance::new(2));
    assert_eq!(yardstick(&saved), "");
    assert!(load(&mut Instance::new(2), &saved));
}

#[test]
fn the_yardstick_goes_with_the_project() {
    let text = a_yardstick();
    let mut first = Instance::new(2);
    first.activate(48_000.0);
    assert!(load(&mut first, &with_yardstick(&json!(text))));
    still_passes(&mut first, "after a load while active");
    let saved = save(&mut first);
    assert_eq!(yardstick(&saved), text, "it is kept to the letter");

    let mut second = Instance::new(2);
    assert!(load(&mut second, &saved));
    assert_eq!(save(&mut second), saved);

    assert!(load(&mut second, &with_yardstick(&json!(""))));
    assert_eq!(yardstick(&save(&mut second)), "", "a project without a yardstick takes it away");
}

pub(crate) fn saved(saved: &[u8]) -> Value {
    serde_json::from_slice(&saved[8..]).expect("it is JSON")
}

/// A look as a project keeps it, other than to begin with.
fn a_look() -> Value {
    json!({
        "palette": "paper", "zoom_percent": 150, "far": true, "floor_percent": 50, "hint_seen": true,
        "rings_always": false, "as_heard": false, "width_points": 900.0, "height_points": 600.0,
    })
}

fn look(saved: &[u8]) -> Value {
    let field = self::saved(saved)["fields"]["look"].as_str().expect("it has the look").to_owned();
    serde_json::from_str(&field).expect("the look is JSON")
}

/// A state of the present form.
fn whole(look: &Value) -> Value {
    let params = params(true, 45);
    let fields = json!({ "format": "4", "look": look.to_string(), "yardstick": json!("").to_string() });
    json!({ "version": "0.1.0", "params": params, "fields": fields })
}

/// Every parameter, these two set and the others as they begin.
fn params(aside: bool, song_time: i32) -> Value {
    json!({
        "aside": { "bool": aside }, "song_time": { "i32": song_time }, "printing": { "bool": false },
        "rest_every": { "i32": 45 }, "rest_for": { "i32": 12 }, "knob": { "i32": 0 }, "meant_level": { "i32": 65 },
        "headphones": { "bool": false }, "mark": { "bool": false }, "hand": { "i32": 2 },
        "changes": { "i32": 0 },
    })
}

/// The songs in a state: which one is worked on, and the pages.
fn songs(saved: &[u8]) -> Value {
    let field = self::saved(saved)["fields"]["songs"].as_str().expect("it has the songs").to_owned();
    serde_json::from_str(&field).expect("the songs are JSON")
}

/// A project's songs go with it, and nothing that holds none takes them away.
#[test]
fn the_songs_go_with_the_project() {
    let id = "0123456789abcdef0123456789abcdef";
    let kept = json!({
        "current": id,
        "pages": [{ "id": id, "lines": [
            { "at_unix_s": 1.75e9, "name": "Low Water" },
            { "at_unix_s": 1.75e9, "candle": { "burnt_s": 600.5, "worked_s": 60.25, "put_off": 1 } },
        ] }],
    });
    let with_songs = |songs: &Value| {
        let mut state = whole(&a_look());
        state["fields"]["songs"] = json!(songs.to_string());
        framed(&state)
    };
    let mut instance = Instance::new(2);
    let none = json!({ "pages": [] });
    assert_eq!(songs(&save(&mut instance)), none, "nothing has sounded");
    assert!(load(&mut instance, &with_songs(&kept)));
    // The clerk takes it over, and puts its journal's copy to it: a rest since, and what has burnt stays burnt.
    let is_kept = |songs: &Value| {
        let text = songs.to_string();
        let holds = |part: &str| text.contains(part);
        songs["current"] == id && holds("\"name\":\"Low Water\"") && holds("\"burnt_s\":600.5")
    };
    assert!(is_kept(&songs(&save(&mut instance))));
    // What is damaged, and a state of before the first sound (an undo), takes no song away: the clerk keeps it anew.
    std::thread::sleep(Duration::from_secs(1));
    for other in [
        with_songs(&json!(17)),
        with_songs(&json!({ "current": "../up", "pages": [] })),
        with_songs(&json!({ "pages": [{ "id": 3 }] })),
        framed(&whole(&a_look())),
    ] {
        load(&mut instance, &other);
        let begun = Instant::now();
        while !is_kept(&songs(&save(&mut instance))) {
            assert!(begun.elapsed() < Duration::from_secs(20), "{:?}", songs(&save(&mut instance)));
            std::thread::sleep(Duration::from_millis(20));
        }
    }
}

#[test]
fn the_look_goes_with_the_project() {
    let mut instance = Instance::new(2);
    let fresh = look(&save(&mut instance));
    assert_eq!(fresh["zoom_percent"], 100);
    assert_eq!([&fresh["width_points"], &fresh["height_points"]], [1084.0, 680.0]);
    assert!(load(&mut instance, &framed(&whole(&a_look()))));
    assert_eq!(look(&save(&mut instance)), a_look());
    let size = instance.editor_size();
    assert_eq!([size.width, size.height], [1350, 900], "900 × 600 at 150 %");
    // What is not offered becomes what is nearest, and no window is larger than any screen.
    let odd = json!({ "palette": "moon", "zoom_percent": 9000, "width_points": 1e9, "height_points": -4.0, "tide": 1 });
    assert!(load(&mut instance, &framed(&whole(&odd))));
    let nearest = json!({
        "palette": "lamp", "zoom_percent": 200, "far": false, "floor_percent": 35, "hint_seen": false,
        "rings_always": false, "as_heard": false, "width_points": 7680.0, "height_points": 400.0,
    });
    assert_eq!(look(&save(&mut instance)), nearest);
}

#[test]
fn a_damaged_look_leaves_the_one_before() {
    let mut instance = Instance::new(2);
    assert!(load(&mut instance, &framed(&whole(&a_look()))));
    let good = save(&mut instance);
    for damaged in [
        json!(null),
        json!(17),
        json!("paper"),
        json!([1, 2]),
        json!({ "zoom_percent": -3 }),
        json!({ "far": "yes" }),
        json!({ "width_points": null }),
    ] {
        load(&mut instance, &framed(&whole(&damaged)));
        assert_eq!(save(&mut instance), good, "{damaged}");
    }
}

/// What was saved before there were parameters has the yardstick alone, and what was saved before the look was kept has
/// none. Neither takes anything over from the project that was open before.
#[test]
fn the_older_forms_of_state_are_completed() {
    let text = a_yardstick();
    let mut instance = Instance::new(2);
    let begin = look(&save(&mut instance));
    assert!(load(&mut instance, &framed(&whole(&a_look()))));
    let now = saved(&save(&mut instance));
    assert_eq!(now["params"], whole(&a_look())["params"], "what is saved is what was loaded");
    assert_eq!(look(&save(&mut instance)), a_look());

    let mut second = whole(&a_look());
    second["fields"] = json!({ "format": "2", "yardstick": json!("").to_string() });
    assert!(load(&mut instance, &framed(&second)));
    assert_eq!(saved(&save(&mut instance))["params"], params(true, 45));
    assert_eq!(look(&save(&mut instance)), begin);

    assert!(load(&mut instance, &framed(&whole(&a_look()))));
    assert!(load(&mut instance, &with_yardstick(&json!(text))));
    let now = saved(&save(&mut instance));
    assert_eq!(now["params"], params(false, 120));
    assert_eq!(now["fields"]["format"], "4");
    assert_eq!(look(&save(&mut instance)), begin);
    assert_eq!(yardstick(&save(&mut instance)), text);
}

/// What this version knows of a newer one's state is taken.
#[test]
fn a_newer_form_of_state_is_taken_as_far_as_it_is_known() {
    let mut instance = Instance::new(2);
    let params = json!({ "aside": { "bool": false }, "song_time": { "i32": 90 }, "moon": { "f32": 0.5 } });
    let fields = json!({ "format": "99", "yardstick": json!("").to_string(), "tide": "\"high\"" });
    let newer = json!({ "version": "7.0.0", "params": params, "fields": fields });
    assert!(load(&mut instance, &framed(&newer)));
    assert_eq!(saved(&save(&mut instance))["params"]["song_time"], json!({ "i32": 90 }));
    instance.activate(48_000.0);
    still_passes(&mut instance, "after a newer state");
}

#[test]
fn garbage_is_survived_and_takes_nothing_away() {
    let text = a_yardstick();
    let mut instance = Instance::new(2);
    instance.activate(48_000.0);
    assert!(load(&mut instance, &with_yardstick(&json!(text))));
    let good = save(&mut instance);

    let mut garbage: Vec<Vec<u8>> = Vec::new();
    for (seed, length) in (1..).zip([0, 1, 7, 8, 9, 64, 4096, 100_000]) {
        let bytes: Vec<u8> = noise(seed, length, 1.0).iter().map(|sample| sample.to_bits() as u8).collect();
        // As it is, and behind a length that is right, too long, and far too long.
        for claimed in [bytes.len() as u64, bytes.len() as u64 + 100, 1 << 20, u64::MAX] {
            let mut framed = claimed.to_le_bytes().to_vec();
            framed.extend(&bytes);
            garbage.push(framed);
        }
        garbage.push(bytes);
    }
    garbage.extend((0..good.len()).step_by(97).map(|length| good[..length].to_vec()));
    for field in [
        json!(null),
        json!(17),
        json!(["a", "list"]),
        json!({ "an": "object" }),
        json!("not a yardstick"),
        json!("name = \"damaged"),
        json!(text.replace("relative_db", "relative_dp")),
        json!("\u{0}\u{1}\u{fffd}"),
    ] {
        garbage.push(with_yardstick(&field));
    }
    for state in [
        json!(null),
        json!([]),
        json!({}),
        json!({ "version": 1, "params": [], "fields": "none" }),
        json!({ "version": "999.0.0", "params": { "unknown": { "f32": 1.0 } }, "fields": { "unknown": "1" } }),
        json!({ "version": "0.1.0", "params": {}, "fields": { "yardstick": "not JSON" } }),
    ] {
        garbage.push(framed(&state));
    }
    for (index, state) in garbage.iter().enumerate() {
        load(&mut instance, state);
        assert_eq!(save(&mut instance), good, "garbage {index} has changed the state");
    }
    still_passes(&mut instance, "after all that garbage");
}

#[test]
fn the_projects_own_program_files_are_no_state() {
    // Something large, binary and real.
    let bytes = std::fs::read(paths::clap_plugin()).expect("the plugin's own file can be read");
    let mut instance = Instance::new(2);
    let before = save(&mut instance);
    assert!(!load(&mut instance, &bytes));
    assert_eq!(save(&mut instance), before);
}
