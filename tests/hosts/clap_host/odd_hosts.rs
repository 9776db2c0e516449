//! Hosts that do what they need not.

use crate::host::{Block, Instance, Placement, assert_same, blocks};
use crate::material::noises;

#[test]
fn blocks_without_frames() {
    let mut instance = Instance::new(2);
    instance.activate(48_000.0);
    for placement in [Placement::InPlace, Placement::Separate] {
        let empty: Vec<_> = (0..100).map(|_| Block { frames: 0, transport: None }).collect();
        let output = instance.play(&[vec![], vec![]], &empty, placement);
        assert_same(&output, &[vec![], vec![]], "nothing");
        let input = noises(2, 1, 5000);
        assert_same(&instance.play(&input, &blocks(5000, &[500]), placement), &input, "sound after nothing");
    }
}

#[test]
fn settings_made_over_and_over_without_a_sound() {
    let mut instance = Instance::new(2);
    for round in 0..20 {
        instance.activate(if round % 3 == 0 { 44_100.0 } else { 48_000.0 });
    }
    instance.deactivate();
    instance.deactivate();
    instance.activate(48_000.0);
    let input = noises(2, 2, 5000);
    assert_same(&instance.play(&input, &blocks(5000, &[500]), Placement::InPlace), &input, "sound at last");
}

#[test]
fn starting_and_stopping_all_the_time() {
    let mut instance = Instance::new(2);
    instance.activate(48_000.0);
    for seed in 0..200 {
        let input = noises(2, seed, 300);
        // Each play starts and stops the processing, and each start resets.
        assert_same(&instance.play(&input, &blocks(300, &[128]), Placement::InPlace), &input, "a short play");
    }
}

#[test]
fn an_instance_that_is_never_set_up() {
    drop(Instance::new(2));
    drop(Instance::new(1));
}
