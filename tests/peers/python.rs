//! The scripts beside these tests, run by the tests' own Python.

use std::ffi::OsStr;
use std::process::Command;

use candlemark_tests::paths;
use serde::de::DeserializeOwned;

/// Runs a script and reads the JSON that it prints.
#[track_caller]
pub(crate) fn printed<T: DeserializeOwned>(script: &str, arguments: &[&OsStr]) -> T {
    let script = paths::workspace().join("tests/peers").join(script);
    let mut python = Command::new(paths::python());
    // What Python compiles is not left among the sources.
    python.env("PYTHONDONTWRITEBYTECODE", "1").arg(&script).args(arguments);
    let output = python.output().expect("the tests' Python can be started");
    let complaint = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{}: {complaint}", script.display());
    serde_json::from_slice(&output.stdout)
        .unwrap_or_else(|error| panic!("{}: {error}; {complaint}", script.display()))
}
