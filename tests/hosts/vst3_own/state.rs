//! What the host's project keeps of an instance.

use candlemark_tests::passing::still_passes;
use candlemark_tests::states::{a_yardstick, field, no_yardsticks, noisy_bytes};
use serde_json::{Value, json};

use crate::instance::Instance;
use crate::parameters::{parameters, set, value};
use crate::stream::{Fault, Stream};

/// A state that has this for a yardstick, as the framework writes it in this format: JSON whose fields are JSON again.
fn with_yardstick(state: &[u8], field: &Value) -> Vec<u8> {
    let mut state: Value = serde_json::from_slice(state).expect("a state is JSON");
    state["fields"]["yardstick"] = json!(field.to_string());
    state.to_string().into_bytes()
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
    assert_eq!(field(&fresh, "yardstick"), "");
    let other = Instance::new(2);
    assert!(other.load(&fresh));
    assert_eq!(other.save(), fresh);
}

#[test]
fn all_of_it_goes_with_the_project() {
    let (mut first, saved) = lived_in();
    assert_eq!(field(&saved, "yardstick"), a_yardstick(), "it is kept to the letter");
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
    let mut garbage: Vec<Vec<u8>> = noisy_bytes().collect();
    garbage.extend((0..good.len()).step_by(97).map(|length| good[..length].to_vec()));
    // As another format has it: behind its length.
    let mut framed = (good.len() as u64).to_le_bytes().to_vec();
    framed.extend(Instance::new(2).save());
    garbage.push(framed);
    garbage.extend(no_yardsticks().iter().map(|field| with_yardstick(&good, field)));
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
