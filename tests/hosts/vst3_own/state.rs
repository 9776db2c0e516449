//! What the host's project keeps of an instance.

use candlemark_files::to_toml;
use candlemark_session::yardstick::{Record, RecordBand, Yardstick};
use candlemark_tests::clap_host::assert_same;
use serde_json::{Value, json};

use crate::instance::Instance;
use crate::material::{noise, noises};
use crate::parameters::{parameters, set, value};
use crate::playback::{Placement, blocks};
use crate::stream::{Fault, Stream};

/// A yardstick whose text needs every kind of quoting.
fn a_yardstick() -> String {
    let bands = candlemark_analysis::bands::NOMINAL_HZ.map(|hz| RecordBand {
        hz,
        relative_db: -20.0,
        low_db: -25.0,
        high_db: -15.0,
        fold_db: None,
    });
    let record = Record {
        title: "A \"quoted\" title \\ with ünïcode".into(),
        duration_s: 201.5,
        section: false,
        integrated_lufs: -11.25,
        range_lu: Some(5.5),
        true_peak_dbtp: Some(-0.3),
        plr_db: Some(10.95),
        psr_loud_db: None,
        crest_db: None,
        fold_db: Some(-0.5),
        correlation: None,
        bands: bands.into(),
    };
    to_toml(&Yardstick { name: "kitchen".into(), records: vec![record] })
}

/// A state that has this for a yardstick, as the framework writes it in this format: JSON whose fields are JSON again.
fn with_yardstick(state: &[u8], field: &Value) -> Vec<u8> {
    let mut state: Value = serde_json::from_slice(state).expect("a state is JSON");
    state["fields"]["yardstick"] = json!(field.to_string());
    state.to_string().into_bytes()
}

fn yardstick(state: &[u8]) -> String {
    let state: Value = serde_json::from_slice(state).expect("a state is JSON");
    let field = state["fields"]["yardstick"].as_str().expect("it has the yardstick");
    serde_json::from_str(field).expect("the yardstick is a text")
}

fn still_passes(instance: &mut Instance, what: &str) {
    let input = noises(2, 7, 5000);
    let output = instance.play(&input, &blocks(5000, &[512]), Placement::InPlace);
    assert_same(&output, &input, what);
}

/// An active instance with a yardstick and with its parameters changed, and its state.
fn lived_in() -> (Instance, Vec<u8>) {
    let mut instance = Instance::new(2);
    instance.activate(48_000.0);
    let yardstick = json!(a_yardstick());
    assert!(instance.load(&with_yardstick(&instance.save(), &yardstick)));
    for parameter in parameters(&instance) {
        assert!(set(&instance, parameter.id, 1.0 - parameter.default.round()));
    }
    let state = instance.save();
    (instance, state)
}

#[test]
fn a_fresh_instance_has_no_yardstick_and_its_state_loads() {
    let fresh = Instance::new(2).save();
    assert_eq!(yardstick(&fresh), "");
    let other = Instance::new(2);
    assert!(other.load(&fresh));
    assert_eq!(other.save(), fresh);
}

#[test]
fn all_of_it_goes_with_the_project() {
    let (mut first, saved) = lived_in();
    assert_eq!(yardstick(&saved), a_yardstick(), "it is kept to the letter");
    still_passes(&mut first, "after a load while active");
    assert_eq!(first.save(), saved, "playing changes nothing of it");

    let second = Instance::new(2);
    let fresh = second.save();
    assert!(second.load(&saved));
    assert_eq!(second.save(), saved);
    for parameter in parameters(&second) {
        assert_eq!(value(&second, parameter.id), value(&first, parameter.id), "{parameter:?}");
    }
    assert!(second.load(&fresh));
    assert_eq!(second.save(), fresh, "a project without a yardstick takes it away");
}

/// Some hosts put something of their own before it.
#[test]
fn a_state_may_begin_anywhere_in_a_stream() {
    let (_, saved) = lived_in();
    for before in [1, 100, 4096] {
        let mut bytes = vec![b'x'; before];
        bytes.extend(&saved);
        let second = Instance::new(2);
        assert!(second.load_from(&Stream::holding(&bytes, before as u64, Fault::None)));
        assert_eq!(second.save(), saved, "after {before} bytes");
    }
}

#[test]
fn a_stream_that_fails_takes_nothing_away() {
    let (mut instance, saved) = lived_in();
    let fresh = Instance::new(2).save();
    for fault in [Fault::NoSeeking, Fault::TooLong, Fault::NoReading] {
        assert!(!instance.load_from(&Stream::holding(&fresh, 0, fault)), "{fault:?}");
        assert_eq!(instance.save(), saved, "{fault:?}");
    }
    for place in [1, fresh.len() as u64, fresh.len() as u64 + 100] {
        let stream = Stream::holding(&fresh, place, Fault::None);
        assert!(!instance.load_from(&stream), "from byte {place} on");
        assert_eq!(instance.save(), saved, "from byte {place} on");
    }
    still_passes(&mut instance, "after all those streams");
}

#[test]
fn garbage_is_survived_and_takes_nothing_away() {
    let (mut instance, good) = lived_in();
    let mut garbage: Vec<Vec<u8>> = Vec::new();
    for (seed, length) in (1..).zip([0, 1, 7, 8, 9, 64, 4096, 100_000]) {
        garbage.push(noise(seed, length, 1.0).iter().map(|sample| sample.to_bits() as u8).collect());
    }
    garbage.extend((0..good.len()).step_by(97).map(|length| good[..length].to_vec()));
    // As another format has it: behind its length.
    let mut framed = (good.len() as u64).to_le_bytes().to_vec();
    framed.extend(Instance::new(2).save());
    garbage.push(framed);
    for field in [
        json!(null),
        json!(17),
        json!(["a", "list"]),
        json!({ "an": "object" }),
        json!("not a yardstick"),
        json!("name = \"damaged"),
        json!(a_yardstick().replace("relative_db", "relative_dp")),
        json!("\u{0}\u{1}\u{fffd}"),
    ] {
        garbage.push(with_yardstick(&good, &field));
    }
    for state in [
        json!(null),
        json!([]),
        json!({}),
        json!({ "version": 1, "params": [], "fields": "none" }),
        json!({ "version": "0.1.0", "params": { "unknown": { "f32": "much" } }, "fields": {} }),
        json!({ "version": "0.1.0", "params": null, "fields": {} }),
    ] {
        garbage.push(state.to_string().into_bytes());
    }
    garbage.push("[".repeat(100_000).into_bytes());
    for (index, state) in garbage.iter().enumerate() {
        instance.load(state);
        assert_eq!(instance.save(), good, "garbage {index} has changed the state");
    }
    still_passes(&mut instance, "after all that garbage");
}
