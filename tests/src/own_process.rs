//! Tests that need a process of their own: what they are told by the environment would be told to all tests of one.

use std::env;
use std::process::Command;

/// Marks the process in which a test's body runs.
const INSIDE: &str = "CANDLEMARK_TEST_INSIDE";

/// Runs the body of a test in a process of its own, for which `prepare` sets the environment; what it gives is held until
/// the process has ended. `test` is the test's name with its modules.
pub fn in_its_own_process<T>(test: &str, prepare: impl FnOnce(&mut Command) -> T, body: impl FnOnce()) {
    if env::var_os(INSIDE).is_some() {
        return body();
    }
    let mut command = again(test);
    command.env(INSIDE, "1");
    let _held = prepare(&mut command);
    let output = command.output().expect("the test can run itself");
    let printed = String::from_utf8_lossy(&output.stdout);
    let complaint = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success() && printed.contains("1 passed"), "{printed}{complaint}");
    print!("{printed}");
}

/// This program again, to run one of its tests alone.
pub fn again(test: &str) -> Command {
    let mut command = Command::new(env::current_exe().expect("the test knows its own file"));
    command.args(["--exact", test, "--nocapture"]);
    command
}
