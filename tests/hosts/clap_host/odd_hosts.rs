//! Hosts that do what they need not.

use std::thread;

use candlemark_tests::own_process::in_its_own_process;
use candlemark_tests::passing::Passes as _;

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
        instance.passes(&input, &[500], placement, "sound after nothing");
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
    instance.passes(&input, &[500], Placement::InPlace, "sound at last");
}

#[test]
fn starting_and_stopping_all_the_time() {
    let mut instance = Instance::new(2);
    instance.activate(48_000.0);
    for seed in 0..200 {
        let input = noises(2, seed, 300);
        // Each play starts and stops the processing, and each start resets.
        instance.passes(&input, &[128], Placement::InPlace, "a short play");
    }
}

#[test]
fn an_instance_that_is_never_set_up() {
    drop(Instance::new(2));
    drop(Instance::new(1));
}

/// A host that unloads the plugin. A thread that has been in it runs code of it when it ends, and would find it
/// gone; so it stays in memory. In a process of its own, where no other test holds it there.
#[test]
#[cfg(target_os = "linux")]
fn once_loaded_it_stays_in_memory() {
    in_its_own_process(
        "odd_hosts::once_loaded_it_stays_in_memory",
        |_| (),
        || {
            let in_memory = || {
                let maps =
                    std::fs::read_to_string("/proc/self/maps").expect("the system tells what is in memory");
                maps.contains("Candlemark")
            };
            assert!(!in_memory(), "it is there before it is loaded");
            for round in 0..3 {
                // Each in a thread that ends, so that the loader has nothing of its own to keep it for.
                thread::spawn(move || {
                    let mut instance = Instance::new(2);
                    instance.activate(48_000.0);
                    let input = noises(2, round, 10_000);
                    instance.play(&input, &blocks(10_000, &[512]), Placement::InPlace);
                })
                .join()
                .expect("the thread ends well");
            }
            drop(crate::host::load());
            assert!(in_memory(), "it was unloaded");
        },
    );
}
