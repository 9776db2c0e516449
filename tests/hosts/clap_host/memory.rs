//! What an instance takes of the machine's memory.

use std::fs;

use candlemark_tests::own_process::in_its_own_process;

use crate::host::{Instance, Placement, blocks};
use crate::material::noises;

const INSTANCES: usize = 32;
/// Four hours of tape and all that measures, editor closed (ours).
const MOST_MIB: f64 = 8.0;

#[test]
fn an_instance_takes_eight_mebibytes_at_most() {
    in_its_own_process("memory::an_instance_takes_eight_mebibytes_at_most", |_| {}, instances_take);
}

/// The process's own writable memory, touched or not, in MiB: `VmData` of `proc_pid_status(5)`.
fn reserved_mib() -> f64 {
    let status = fs::read_to_string("/proc/self/status").expect("the system tells of its processes");
    let line = status.lines().find_map(|line| line.strip_prefix("VmData:")).expect("it tells of its memory");
    let kib: f64 = line.trim().trim_end_matches(" kB").parse().expect("it is a number");
    kib / 1024.0
}

fn heard() -> Instance {
    let mut instance = Instance::new(2);
    instance.activate(48_000.0);
    let frames = 48_000 * 4;
    instance.play(&noises(2, 9, frames), &blocks(frames, &[512]), Placement::InPlace);
    instance
}

fn instances_take() {
    // What is made once for all of them does not count.
    let mut instances = vec![heard()];
    let before_mib = reserved_mib();
    instances.extend((0..INSTANCES).map(|_| heard()));
    let each_mib = (reserved_mib() - before_mib) / INSTANCES as f64;
    println!("{each_mib:.2} MiB an instance");
    assert!(each_mib <= MOST_MIB, "{each_mib} MiB an instance");
    assert!(each_mib > 1.0, "{each_mib} MiB: the tape alone is more");
}
