//! What an instance takes of the machine's memory.

use candlemark_tests::own_process::in_its_own_process;
use candlemark_tests::taken::reserved_mib;

use crate::host::{Instance, Placement, blocks};
use crate::material::noises;

const INSTANCES: usize = 32;
/// Four hours of tape and all that measures, editor closed (ours).
pub(crate) const MOST_MIB: f64 = 8.0;

#[test]
fn an_instance_takes_eight_mebibytes_at_most() {
    in_its_own_process("memory::an_instance_takes_eight_mebibytes_at_most", |_| {}, instances_take);
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
