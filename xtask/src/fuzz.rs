//! The fuzz targets in `tests/fuzz`, by cargo-fuzz: seconds of each in the tests, minutes in the trial.

use std::path::Path;
use std::process::Command;

use anyhow::{Context, Result};

use crate::apt::{self, Need};
use crate::tools::Tool;
use crate::{folders, process};

/// Coverage, with a check of every address beside it.
const FUZZ: Tool = Tool { name: "cargo-fuzz", version: "0.13.2", why: "for what comes from outside" };

/// What is made up, and what it stands for.
pub(crate) const TARGETS: [&str; 7] =
    ["blocks", "delivery", "journal", "kept", "sound", "state", "yardstick"];

const NEEDS: [Need; 1] = [Need {
    package: "g++",
    why: "the fuzzer's own library is built with it",
    present: || process::exists("c++"),
}];

/// One input may take so many seconds, and the process so many MiB (ours): what needs more is a fault.
const LONGEST_S: u32 = 20;
const MOST_MIB: u32 = 1024;

/// Runs each of `targets` for so many seconds on what the project keeps of inputs, and on what earlier runs found.
///
/// # Errors
///
/// When one of them finds a fault: the input is left in target/fuzz/faults.
pub(crate) fn run(targets: &[&str], seconds: u32) -> Result<()> {
    apt::ensure(&NEEDS)?;
    let fuzz = FUZZ.ensure()?;
    let folder = folders::target().join("fuzz");
    let faults = folders::made(folder.join("faults"))?;
    let home = folders::made(folder.join("home"))?;
    process::run(&mut cargo_fuzz(&fuzz, "build"))?;
    for target in targets {
        let found = folders::made(folder.join("corpus").join(target))?;
        let kept = folders::workspace().join("tests").join("fuzz").join("corpus").join(target);
        let mut run = cargo_fuzz(&fuzz, "run");
        run.arg(target).args([&found, &kept]).arg("--").args([
            format!("-max_total_time={seconds}"),
            format!("-timeout={LONGEST_S}"),
            format!("-rss_limit_mb={MOST_MIB}"),
            format!("-artifact_prefix={}/{target}-", faults.display()),
            "-print_final_stats=1".to_owned(),
            "-verbosity=0".to_owned(),
        ]);
        process::run(run.env("CANDLEMARK_HOME", &home))
            .with_context(|| format!("the fuzz target {target} found a fault; see {}", faults.display()))?;
    }
    Ok(())
}

/// Optimised as the tests are, with their checks, and with what only a nightly compiler lets through otherwise.
fn cargo_fuzz(program: &Path, what: &str) -> Command {
    let mut fuzz = Command::new(program);
    fuzz.current_dir(folders::workspace())
        .env("RUSTC_BOOTSTRAP", "1")
        .args([what, "--dev", "--fuzz-dir", "tests/fuzz", "--target-dir"])
        .arg(folders::target().join("fuzz"));
    fuzz
}

#[cfg(test)]
mod tests {
    use std::fs;

    use super::*;

    #[test]
    fn every_target_has_inputs_that_are_kept_and_is_known_here() {
        let folder = folders::workspace().join("tests").join("fuzz");
        for target in TARGETS {
            let inputs = fs::read_dir(folder.join("corpus").join(target)).unwrap().count();
            assert!(inputs > 0, "{target}");
        }
        let manifest = fs::read_to_string(folder.join("Cargo.toml")).unwrap();
        assert_eq!(manifest.matches("[[bin]]").count(), TARGETS.len());
    }
}
