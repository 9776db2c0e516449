//! `cargo xtask check`: everything about the sources that a machine can judge without playing sound.

use anyhow::Result;
use clap::Args;

use crate::{deny, process};

/// Format, lints, docs, licences and the laws.
///
/// Runs rustfmt, clippy and rustdoc with warnings as errors, cargo-deny (licences, bans and sources; built
/// into target/tools when it is missing), and the tests of the laws.
#[derive(Args)]
pub(crate) struct Options {}

pub(crate) fn run(_options: &Options) -> Result<()> {
    process::run(&mut process::cargo(["fmt", "--all", "--check"]))?;
    process::run(&mut process::cargo([
        "clippy",
        "--workspace",
        "--all-targets",
        "--locked",
        "--",
        "-D",
        "warnings",
    ]))?;
    // The plugin's library and the command are both called `candlemark`, and their pages share a folder: in
    // two runs neither can disturb the other.
    for which in
        [&["--workspace", "--exclude", "candlemark-command"][..], &["--package", "candlemark-command"]]
    {
        process::run(
            process::cargo(["doc", "--no-deps", "--locked"]).args(which).env("RUSTDOCFLAGS", "-D warnings"),
        )?;
    }
    deny::check()?;
    // With the features of the whole workspace, so that `test` finds it built.
    process::run(&mut process::cargo(["test", "--workspace", "--locked", "--test", "laws"]))?;
    println!("All checks hold.");
    Ok(())
}
