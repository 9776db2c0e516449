//! What the host's project keeps of an instance.

use std::time::{Duration, Instant};

use candlemark_tests::passing::still_passes;
use candlemark_tests::paths;
use candlemark_tests::states::{self, a_yardstick, no_yardsticks, noisy_bytes};
use serde_json::{Value, json};

use crate::host::{Instance, framed, with_yardstick};

/// A state's text. The framework writes its length before it.
pub(crate) fn text(saved: &[u8]) -> &[u8] {
    &saved[8..]
}

fn field(saved: &[u8], name: &str) -> Value {
    states::field(text(saved), name)
}

#[test]
fn a_fresh_instance_has_no_yardstick_and_its_state_loads() {
    let saved = Instance::new(2).save_state();
    assert_eq!(field(&saved, "yardstick"), "");
    assert!(Instance::new(2).load_state(&saved));
}

#[test]
fn the_yardstick_goes_with_the_project() {
    let text = a_yardstick();
    let mut first = Instance::new(2);
    first.activate(48_000.0);
    assert!(first.load_state(&with_yardstick(&json!(text))));
    still_passes(&mut first, "after a load while active");
    let saved = first.save_state();
    assert_eq!(field(&saved, "yardstick"), text, "it is kept to the letter");

    let mut second = Instance::new(2);
    assert!(second.load_state(&saved));
    assert_eq!(second.save_state(), saved);

    assert!(second.load_state(&with_yardstick(&json!(""))));
    assert_eq!(field(&second.save_state(), "yardstick"), "", "a project without a yardstick takes it away");
}

fn saved(saved: &[u8]) -> Value {
    serde_json::from_slice(text(saved)).expect("it is JSON")
}

/// A look as a project keeps it, other than to begin with.
fn a_look() -> Value {
    json!({
        "palette": "paper", "zoom_percent": 150, "far": true, "floor_percent": 50, "hint_seen": true,
        "rings_always": false, "as_heard": false, "width_points": 900.0, "height_points": 600.0,
    })
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
        "changed": { "i32": 0 },
    })
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
    assert_eq!(field(&instance.save_state(), "songs"), none, "nothing has sounded");
    assert!(instance.load_state(&with_songs(&kept)));
    // The clerk takes it over, and puts its journal's copy to it: a rest since, and what has burnt stays burnt.
    let is_kept = |songs: &Value| {
        let text = songs.to_string();
        let holds = |part: &str| text.contains(part);
        songs["current"] == id && holds("\"name\":\"Low Water\"") && holds("\"burnt_s\":600.5")
    };
    assert!(is_kept(&field(&instance.save_state(), "songs")));
    // What is damaged, and a state of before the first sound (an undo), takes no song away: the clerk keeps it anew.
    std::thread::sleep(Duration::from_secs(1));
    for other in [
        with_songs(&json!(17)),
        with_songs(&json!({ "current": "../up", "pages": [] })),
        with_songs(&json!({ "pages": [{ "id": 3 }] })),
        framed(&whole(&a_look())),
    ] {
        instance.load_state(&other);
        let begun = Instant::now();
        while !is_kept(&field(&instance.save_state(), "songs")) {
            assert!(
                begun.elapsed() < Duration::from_secs(20),
                "{:?}",
                field(&instance.save_state(), "songs")
            );
            std::thread::sleep(Duration::from_millis(20));
        }
    }
}

#[test]
fn the_look_goes_with_the_project() {
    let mut instance = Instance::new(2);
    let fresh = field(&instance.save_state(), "look");
    assert_eq!(fresh["zoom_percent"], 100);
    assert_eq!([&fresh["width_points"], &fresh["height_points"]], [1084.0, 680.0]);
    assert!(instance.load_state(&framed(&whole(&a_look()))));
    assert_eq!(field(&instance.save_state(), "look"), a_look());
    let size = instance.editor_size();
    assert_eq!([size.width, size.height], [1350, 900], "900 × 600 at 150 %");
    // What is not offered becomes what is nearest, and no window is larger than any screen.
    let odd = json!({ "palette": "moon", "zoom_percent": 9000, "width_points": 1e9, "height_points": -4.0, "tide": 1 });
    assert!(instance.load_state(&framed(&whole(&odd))));
    let nearest = json!({
        "palette": "lamp", "zoom_percent": 200, "far": false, "floor_percent": 35, "hint_seen": false,
        "rings_always": false, "as_heard": false, "width_points": 7680.0, "height_points": 400.0,
    });
    assert_eq!(field(&instance.save_state(), "look"), nearest);
}

#[test]
fn a_damaged_look_leaves_the_one_before() {
    let mut instance = Instance::new(2);
    assert!(instance.load_state(&framed(&whole(&a_look()))));
    let good = instance.save_state();
    for damaged in [
        json!(null),
        json!(17),
        json!("paper"),
        json!([1, 2]),
        json!({ "zoom_percent": -3 }),
        json!({ "far": "yes" }),
        json!({ "width_points": null }),
    ] {
        instance.load_state(&framed(&whole(&damaged)));
        assert_eq!(instance.save_state(), good, "{damaged}");
    }
}

/// What was saved before there were parameters has the yardstick alone, and what was saved before the look was kept has
/// none. Neither takes anything over from the project that was open before.
#[test]
fn the_older_forms_of_state_are_completed() {
    let text = a_yardstick();
    let mut instance = Instance::new(2);
    let begin = field(&instance.save_state(), "look");
    assert!(instance.load_state(&framed(&whole(&a_look()))));
    let now = saved(&instance.save_state());
    assert_eq!(now["params"], whole(&a_look())["params"], "what is saved is what was loaded");
    assert_eq!(field(&instance.save_state(), "look"), a_look());

    let mut second = whole(&a_look());
    second["fields"] = json!({ "format": "2", "yardstick": json!("").to_string() });
    assert!(instance.load_state(&framed(&second)));
    assert_eq!(saved(&instance.save_state())["params"], params(true, 45));
    assert_eq!(field(&instance.save_state(), "look"), begin);

    assert!(instance.load_state(&framed(&whole(&a_look()))));
    assert!(instance.load_state(&with_yardstick(&json!(text))));
    let now = saved(&instance.save_state());
    assert_eq!(now["params"], params(false, 120));
    assert_eq!(now["fields"]["format"], "4");
    assert_eq!(field(&instance.save_state(), "look"), begin);
    assert_eq!(field(&instance.save_state(), "yardstick"), text);
}

/// What this version knows of a newer one's state is taken.
#[test]
fn a_newer_form_of_state_is_taken_as_far_as_it_is_known() {
    let mut instance = Instance::new(2);
    let params = json!({ "aside": { "bool": false }, "song_time": { "i32": 90 }, "moon": { "f32": 0.5 } });
    let fields = json!({ "format": "99", "yardstick": json!("").to_string(), "tide": "\"high\"" });
    let newer = json!({ "version": "7.0.0", "params": params, "fields": fields });
    assert!(instance.load_state(&framed(&newer)));
    assert_eq!(saved(&instance.save_state())["params"]["song_time"], json!({ "i32": 90 }));
    instance.activate(48_000.0);
    still_passes(&mut instance, "after a newer state");
}

#[test]
fn garbage_is_survived_and_takes_nothing_away() {
    let text = a_yardstick();
    let mut instance = Instance::new(2);
    instance.activate(48_000.0);
    assert!(instance.load_state(&with_yardstick(&json!(text))));
    let good = instance.save_state();

    let mut garbage: Vec<Vec<u8>> = Vec::new();
    for bytes in noisy_bytes() {
        // As it is, and behind a length that is right, too long, and far too long.
        for claimed in [bytes.len() as u64, bytes.len() as u64 + 100, 1 << 20, u64::MAX] {
            garbage.push([&claimed.to_le_bytes(), &bytes[..]].concat());
        }
        garbage.push(bytes);
    }
    garbage.extend((0..good.len()).step_by(97).map(|length| good[..length].to_vec()));
    garbage.extend(no_yardsticks().iter().map(with_yardstick));
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
        instance.load_state(state);
        assert_eq!(instance.save_state(), good, "garbage {index} has changed the state");
    }
    still_passes(&mut instance, "after all that garbage");
}

#[test]
fn the_projects_own_program_files_are_no_state() {
    // Something large, binary and real.
    let bytes = std::fs::read(paths::clap_plugin()).expect("the plugin's own file can be read");
    let mut instance = Instance::new(2);
    let before = instance.save_state();
    assert!(!instance.load_state(&bytes));
    assert_eq!(instance.save_state(), before);
}
