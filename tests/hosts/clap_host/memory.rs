//! What an instance takes of the machine's memory.

use std::process::Command;
use std::{env, fs};

use crate::host::{Instance, Placement, blocks};
use crate::material::noises;

/// Marks the process that holds nothing else.
const INSIDE: &str = "CANDLEMARK_TEST_INSIDE_MEMORY";
const INSTANCES: usize = 32;
/// Four hours of tape and all that measures, editor closed (ours).
const MOST_MIB: f64 = 8.0;

#[test]
fn an_instance_takes_eight_mebibytes_at_most() {
    if env::var_os(INSIDE).is_some() {
        return inside();
    }
    let output = Command::new(env::current_exe().expect("the test knows its own file"))
        .args(["--exact", "memory::an_instance_takes_eight_mebibytes_at_most", "--nocapture"])
        .env(INSIDE, "1")
        .output()
        .expect("the test can run itself");
    let (printed, complaint) =
        (String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr));
    assert!(output.status.success() && printed.contains("1 passed"), "{printed}{complaint}");
    print!("{printed}");
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

fn inside() {
    // What is made once for all of them does not count.
    let mut instances = vec![heard()];
    let before_mib = reserved_mib();
    instances.extend((0..INSTANCES).map(|_| heard()));
    let each_mib = (reserved_mib() - before_mib) / INSTANCES as f64;
    println!("{each_mib:.2} MiB an instance");
    assert!(each_mib <= MOST_MIB, "{each_mib} MiB an instance");
    assert!(each_mib > 1.0, "{each_mib} MiB: the tape alone is more");
}
