//! `cargo xtask trial hammer`: the lock-free code under the checkers of addresses and of races.

use std::fs;
use std::path::Path;
use std::process::Command;

use anyhow::{Context, Result};
use clap::Args;

use crate::apt::{self, Need};
use crate::{folders, process};

const NEEDS: [Need; 1] = [Need {
    package: "valgrind",
    why: "it checks every address of a program as it was built",
    present: || process::exists("valgrind"),
}];

/// What the checker of races takes for one and is none, as narrow as it can be: a name anywhere in a race's stacks silences
/// it, and below every test stands the harness. The standard library was not built with the checker, so that the harness's
/// message of a test that has ended looks like a race; and the checker knows no fences, with which the last owner of an
/// `Arc` waits for the others before it gives it back.
const NOT_OURS: &str = "race:test::event::CompletedTest\nrace:drop_slow\n";

/// What the trial ends with where a checker finds something.
const FOUND: &str = "--error-exitcode=9";

/// Hammers the tape and the orders, with checks of every address and of every race
///
/// Runs the test `hammer` of candlemark-handoff three times: with `AddressSanitizer`, with `ThreadSanitizer`, and in valgrind
/// with a check for what is not given back. Each is built into target/hammer; it takes some minutes. valgrind's own search for
/// races knows no atomics and is not used.
#[derive(Args)]
pub(crate) struct Options {}

pub(crate) fn run() -> Result<()> {
    apt::ensure(&NEEDS)?;
    let folder = folders::made(folders::target().join("hammer"))?;
    let not_ours = folder.join("not_ours");
    fs::write(&not_ours, NOT_OURS).with_context(|| format!("can't write {}", not_ours.display()))?;

    sanitized(&folder, "address", "", &[("ASAN_OPTIONS", "detect_leaks=1".to_owned())])?;
    let races = format!("halt_on_error=1 suppressions={}", not_ours.display());
    // A library without the checker is let through on purpose: see `NOT_OURS`.
    sanitized(&folder, "thread", " -Cunsafe-allow-abi-mismatch=sanitizer", &[("TSAN_OPTIONS", races)])?;

    let plain = folder.join("plain");
    let program = process::built(process::cargo(HAMMER).arg("--no-run").arg("--target-dir").arg(plain))?;
    let mut valgrind = Command::new("valgrind");
    // By turns, so that no reader waits for ever.
    valgrind.args([
        "--quiet",
        "--fair-sched=yes",
        "--leak-check=full",
        "--show-leak-kinds=definite",
        "--errors-for-leak-kinds=definite",
        FOUND,
    ]);
    process::run(valgrind.arg(program).arg("--nocapture"))
}

const HAMMER: [&str; 6] = ["test", "--locked", "--package", "candlemark-handoff", "--test", "hammer"];

/// With what only a nightly compiler lets through otherwise, and for a named target, so that programs which build others
/// are built without.
fn sanitized(folder: &Path, checker: &str, flags: &str, settings: &[(&str, String)]) -> Result<()> {
    let target = process::output(Command::new("rustc").args(["--print", "host-tuple"]))?;
    let mut hammer = process::cargo(HAMMER);
    hammer.args(["--target", target.trim(), "--target-dir"]).arg(folder.join(checker));
    hammer.env("RUSTC_BOOTSTRAP", "1").env("RUSTFLAGS", format!("-Zsanitizer={checker}{flags}"));
    process::run(hammer.envs(settings.iter().map(|(name, value)| (name, value))))
        .with_context(|| format!("the {checker} checker found a fault"))
}
