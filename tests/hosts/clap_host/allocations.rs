//! Nothing allocates while sound is processed.
//!
//! A debug build of the plugin has a trap: it aborts the host when anything allocates inside `process`. So
//! that a test does not trust a trap that isn't set, the plugin takes a bait when it is told to.

use candlemark_tests::passing;

use crate::host::{Instance, Placement, assert_same, blocks};
use crate::material::{noises, spoilt};
use crate::transport::looping;

#[test]
fn none_in_process() {
    for channels in [1, 2] {
        let mut instance = Instance::new(channels);
        for rate in [48_000.0, 8000.0, 192_000.0, 4000.0] {
            instance.activate(rate);
            let frames = (rate * 15.0) as usize;
            let input = noises(channels, 1, frames);
            for blocks in [blocks(frames, &[512]), blocks(frames, &[1, 8192, 0, 480]), looping(frames)] {
                let output = instance.play(&input, &blocks, Placement::InPlace);
                assert_same(&output, &input, &format!("{channels} channels at {rate} Hz"));
            }
            let input = spoilt(channels, 2, frames);
            let output = instance.play(&input, &blocks(frames, &[333]), Placement::Separate);
            assert_same(&output, &input, &format!("{channels} channels of spoilt sound at {rate} Hz"));
        }
    }
}

#[test]
fn a_little_sound() {
    passing::a_little_sound::<Instance>();
}

#[test]
fn the_trap_is_set() {
    passing::the_trap_is_set("allocations::a_little_sound");
}
