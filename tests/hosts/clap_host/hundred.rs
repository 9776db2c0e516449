//! A hundred instances in one process, as on every track of a large session: one clerk, and memory that comes back.

use std::fs;
use std::thread::sleep;
use std::time::{Duration, Instant};

use candlemark_tests::chance::Chance;
use candlemark_tests::own_process::in_its_own_process;
use candlemark_tests::taken::resident_kib;

use crate::host::{Instance, Placement, assert_same, blocks};
use crate::material::noises;
use crate::memory::MOST_MIB;

const INSTANCES: usize = 100;
/// Sessions that are opened and closed one after the other.
const SESSIONS: u64 = 5;
/// What an instance may take, in KiB (ours): as `memory` has it, and an eighth for what an allocator holds back.
const MOST_KIB_EACH: f64 = MOST_MIB * 1024.0 * 9.0 / 8.0;
/// By how much the last session may take more than the first, in KiB (ours): seven instances of the hundred. What a closed
/// session has given back, the system's allocator may hold for the next one, so that what is resident between two of them
/// says little; what was not given back adds up from one to the next.
const MOST_KIB_MORE: f64 = 7.0 * MOST_KIB_EACH;

/// Threads by the name of the clerk, which the system cuts to fifteen letters.
fn clerks() -> usize {
    let tasks = fs::read_dir("/proc/self/task").expect("the system tells of its threads");
    let names = tasks.filter_map(|task| fs::read_to_string(task.ok()?.path().join("comm")).ok());
    names.filter(|name| "candlemark clerk".starts_with(name.trim_end()) && name.len() > 12).count()
}

#[test]
fn a_hundred_instances_have_one_clerk_and_are_let_go_in_any_order() {
    let name = "hundred::a_hundred_instances_have_one_clerk_and_are_let_go_in_any_order";
    in_its_own_process(name, |_| (), sessions);
}

fn sessions() {
    let mut chance = Chance::new(1);
    let mut below = |end: usize| chance.below(end as u64) as usize;
    let before_kib = resident_kib();
    let mut full = Vec::new();
    for session in 0..SESSIONS {
        let mut instances: Vec<Instance> = (0..INSTANCES).map(|_| Instance::new(2)).collect();
        for instance in &mut instances {
            instance.activate(48_000.0);
        }
        let play = |instance: &mut Instance, seed: u64, what: &str| {
            let input = noises(2, session * 10_000 + seed, 6000);
            let output = instance.play_on(&input, &blocks(6000, &[512]), Placement::InPlace);
            assert_same(&output, &input, what);
        };
        for turn in 0..8 {
            for (number, instance) in instances.iter_mut().enumerate() {
                let seed = (turn * INSTANCES + number) as u64;
                play(instance, seed, &format!("instance {number}, turn {turn}"));
            }
            assert_eq!(clerks(), 1, "clerks of {INSTANCES} instances");
        }
        let full_kib = resident_kib();
        assert!(
            full_kib - before_kib < MOST_KIB_EACH * INSTANCES as f64,
            "{before_kib} KiB, then {full_kib}"
        );
        while !instances.is_empty() {
            drop(instances.swap_remove(below(instances.len())));
            if !instances.is_empty() {
                let (many, stays) = (instances.len() as u64, below(instances.len()));
                play(&mut instances[stays], 9000 + many, "one that stays");
                assert_eq!(clerks(), 1, "clerks of {} instances", instances.len());
            }
        }
        let begun = Instant::now();
        while clerks() > 0 {
            assert!(begun.elapsed() < Duration::from_secs(20), "the clerk stays without an instance");
            sleep(Duration::from_millis(20));
        }
        full.push(full_kib);
        println!(
            "{INSTANCES} instances: {:.0} MiB before, {:.0} with them, {:.0} after",
            before_kib / 1024.0,
            full_kib / 1024.0,
            resident_kib() / 1024.0
        );
    }
    let more_kib = full[full.len() - 1] - full[0];
    assert!(more_kib < MOST_KIB_MORE, "the last session takes {more_kib} KiB more than the first");
}
