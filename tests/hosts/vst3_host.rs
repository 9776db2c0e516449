//! The built VST3 plugin in a host that is not of the project: the Python package `pedalboard`.

use std::process::{Command, Output};

use candlemark_tests::passing::{BAIT, assert_aborted};
use candlemark_tests::paths;

fn host(bait: bool) -> Output {
    let mut host = Command::new(paths::python());
    host.arg(paths::workspace().join("tests/hosts/vst3_pedalboard.py")).arg(paths::vst3_plugin());
    host.env_remove(BAIT);
    if bait {
        host.env(BAIT, "1");
    }
    host.output().expect("the tests' Python can be started")
}

/// And nothing allocates meanwhile, for a debug build aborts where anything does.
#[test]
fn what_comes_out_is_what_went_in() {
    let output = host(false);
    let (printed, complaint) =
        (String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr));
    assert!(output.status.success(), "the host says:\n{printed}{complaint}");
    // The script counts what it compared; that it compared nothing must not pass.
    let compared = printed.lines().find_map(|line| line.strip_suffix(" sounds came out as they went in"));
    let compared: u32 = compared.and_then(|count| count.parse().ok()).unwrap_or(0);
    assert!(compared >= 200, "it compared {compared} sounds:\n{printed}");
}

/// That the host really calls the plugin, and that the trap for allocations is set.
#[test]
fn an_allocation_ends_the_host() {
    assert_aborted(&host(true));
}
