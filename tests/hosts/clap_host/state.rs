//! What the host's project keeps of an instance.

use candlemark_files::to_toml;
use candlemark_session::yardstick::{Record, RecordBand, Yardstick};
use candlemark_tests::paths;
use clack_extensions::state::PluginState;
use serde_json::{Value, json};

use crate::host::{Instance, Placement, assert_same, blocks};
use crate::material::{noise, noises};

fn save(instance: &mut Instance) -> Vec<u8> {
    let handle = instance.plugin().plugin_handle();
    let state: PluginState = handle.get_extension().expect("it has a state");
    let mut saved = Vec::new();
    state.save(&handle, &mut saved).expect("its state can be saved");
    saved
}

/// Whether the plugin took it.
pub(crate) fn load(instance: &mut Instance, saved: &[u8]) -> bool {
    let handle = instance.plugin().plugin_handle();
    let state: PluginState = handle.get_extension().expect("it has a state");
    state.load(&handle, &mut &saved[..]).is_ok()
}

/// A state as the framework writes it: the length, then JSON whose fields are JSON again.
fn framed(state: &Value) -> Vec<u8> {
    let text = state.to_string();
    let mut saved = (text.len() as u64).to_le_bytes().to_vec();
    saved.extend(text.bytes());
    saved
}

/// A state with something for a yardstick.
pub(crate) fn with_yardstick(field: &Value) -> Vec<u8> {
    framed(&json!({ "version": "0.1.0", "params": {}, "fields": { "yardstick": field.to_string() } }))
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
