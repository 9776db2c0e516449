//! Nothing allocates while sound is processed: the debug build of the plugin aborts its host where anything does, so
//! every playback here is a test of that. So that nobody trusts a trap that isn't set, the plugin takes a bait when
//! it is told to.

use std::env;
use std::process::Command;

use candlemark_tests::clap_host::assert_same;

use crate::instance::Instance;
use crate::material::noises;
use crate::playback::{Placement, blocks};

/// Tells a debug build of the plugin to allocate once a block.
const BAIT: &str = "CANDLEMARK_BAIT_ALLOCATION";

/// What the test below runs in a process of its own, with and without the bait.
#[test]
fn a_little_sound() {
    let mut instance = Instance::new(2);
    instance.activate(48_000.0);
    let input = noises(2, 1, 1000);
    let output = instance.play(&input, &blocks(1000, &[100]), Placement::InPlace);
    assert_same(&output, &input, "a little sound");
}

#[test]
fn the_trap_is_set() {
    let play = |bait: bool| {
        let mut command = Command::new(env::current_exe().expect("the test knows its own file"));
        command.args(["--exact", "allocations::a_little_sound", "--nocapture", "--test-threads=1"]);
        command.env_remove(BAIT);
        if bait {
            command.env(BAIT, "1");
        }
        command.output().expect("the test can run itself")
    };
    let without = play(false);
    let printed = String::from_utf8_lossy(&without.stdout).into_owned();
    assert!(without.status.success() && printed.contains("1 passed"), "it fails without the bait: {printed}");

    let with = play(true);
    let complaint = String::from_utf8_lossy(&with.stderr).into_owned();
    assert!(
        !with.status.success() && complaint.contains("memory allocation of"),
        "the plugin allocated inside `process` and nothing happened: a build of it without debug assertions has \
         no trap; `cargo xtask test` makes one that has. {complaint}"
    );
}
