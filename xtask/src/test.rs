//! `cargo xtask test`: the one command that proves the whole.

use std::io::{BufRead, BufReader, Write};
use std::process::{Command, Stdio};

use anyhow::{Context, Result, bail};
use clap::Args;

use crate::bundle::{self, Profile};
use crate::packages::{THE_DESK, TOGETHER};
use crate::setup;
use crate::totals::Totals;
use crate::{folders, fuzz, process};

/// Seconds that each fuzz target runs in the tests (ours); `cargo xtask trial fuzz` takes minutes.
const FUZZ_S: u32 = 8;

/// Sets everything up, builds, and runs all tests.
///
/// On a fresh machine it first installs the system packages that are missing (by apt-get; without root
/// rights it names the command instead), makes the tests' Python environment in target/venv, and fetches
/// real music into target/music. Then it builds the workspace once, bundles the plugin into
/// target/bundled-debug, builds the desktop window apart, and runs every test, then the loom models of the
/// lock-free code, which are built in target/loom, and then each fuzz target for some seconds, built in target/fuzz. A test that was left out counts as a failure.
#[derive(Args)]
pub(crate) struct Options {
    /// Run only the tests whose path holds NAME; the models when NAME holds `loom`
    #[arg(long, value_name = "NAME")]
    only: Option<String>,
}

pub(crate) fn run(options: &Options) -> Result<()> {
    let outside = setup::outside()?;
    // All targets, so that the features are those of the tests and nothing is built twice.
    process::run(process::cargo(["build", "--all-targets", "--locked"]).args(TOGETHER))?;
    // Before the desktop window is built: the plugin that is tested has never seen what the window needs.
    let bundles = bundle::lay_out(Profile::Debug)?;
    let command = Profile::Debug.program("candlemark")?;
    process::run(process::cargo(["build", "--locked"]).args(THE_DESK))?;
    let desk = Profile::Debug.program("candlemark-desk")?;

    let of = |packages: &[&str]| {
        let mut tests = process::cargo(["test", "--locked", "--no-fail-fast"]);
        tests.args(packages).args(options.only.iter().flat_map(|name| ["--", name]));
        tests
    };
    let mut tests = of(&TOGETHER);
    tests
        .env("CANDLEMARK_CLAP", bundles.clap)
        .env("CANDLEMARK_VST3", bundles.vst3)
        .env("CANDLEMARK_BIN", command)
        .env("CANDLEMARK_DESK", desk)
        // What a plugin keeps while it is tested is not the user's.
        .env("CANDLEMARK_HOME", folders::target().join("home"))
        .env("CANDLEMARK_PYTHON", outside.python)
        .env("CANDLEMARK_MUSIC", outside.music);
    let mut totals = Totals::default();
    let mut succeeded = run_counting(&mut tests, &mut totals)?;
    succeeded &= run_counting(&mut of(&THE_DESK), &mut totals)?;
    if options.only.as_deref().is_none_or(|name| name.contains("loom")) {
        let before = totals;
        succeeded &= run_counting(&mut models(options.only.as_deref()), &mut totals)?;
        if totals == before && options.only.is_none() {
            bail!("no model of the lock-free code ran");
        }
    }
    if options.only.as_deref().is_none_or(|name| name.contains("fuzz")) {
        fuzz::run(&fuzz::TARGETS, FUZZ_S)?;
        // Each is a test that has run.
        totals.passed += fuzz::TARGETS.len() as u64;
    }
    println!("\n{totals}");
    verdict(totals, succeeded, options.only.as_deref())
}

/// The models of the lock-free code. Their compiler flag makes everything below them other code, so they have a
/// folder of their own.
fn models(only: Option<&str>) -> Command {
    let mut models = process::cargo(["test", "--package", "candlemark-handoff", "--lib", "--locked"]);
    models
        .args(["--profile", "loom", "--target-dir"])
        .arg(folders::target().join("loom"))
        .args(["--", only.unwrap_or("loom_")])
        .env("RUSTFLAGS", "--cfg loom");
    models
}

/// Runs the tests, passes on what they print, and adds their summaries to the totals. Whether they succeeded.
fn run_counting(tests: &mut Command, totals: &mut Totals) -> Result<bool> {
    let line = process::line(tests);
    eprintln!("$ {line}");
    let mut child = tests.stdout(Stdio::piped()).spawn().with_context(|| format!("can't start `{line}`"))?;
    let printed = child.stdout.take().context("the tests' output can't be read")?;
    let mut shown = std::io::stdout().lock();
    for line in BufReader::new(printed).split(b'\n') {
        let line = line?;
        shown.write_all(&line)?;
        shown.write_all(b"\n")?;
        shown.flush()?;
        totals.add_line(&String::from_utf8_lossy(&line));
    }
    Ok(child.wait()?.success())
}

fn verdict(totals: Totals, succeeded: bool, only: Option<&str>) -> Result<()> {
    if totals.failed > 0 {
        bail!("{} of the tests failed", totals.failed);
    }
    if totals.ignored > 0 {
        bail!("{} of the tests were left out; a test that is not run proves nothing", totals.ignored);
    }
    if !succeeded {
        bail!("cargo test failed");
    }
    if totals.passed == 0 {
        bail!("no test ran; none has {:?} in its path", only.unwrap_or_default());
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_tests_that_ran_and_passed_are_a_success() {
        let good = Totals { passed: 5, failed: 0, ignored: 0 };
        assert!(verdict(good, true, None).is_ok());
        assert!(verdict(good, false, None).is_err(), "a binary that did not build");
        assert!(verdict(Totals { failed: 1, ..good }, false, None).is_err());
        assert!(verdict(Totals { ignored: 1, ..good }, true, None).is_err());
        assert!(verdict(Totals::default(), true, Some("no such name")).is_err());
    }
}
