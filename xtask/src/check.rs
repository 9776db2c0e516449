//! `cargo xtask check`: everything about the sources that a machine can judge without playing sound.

use std::process::Command;

use anyhow::Result;
use clap::Args;

use crate::packages::{THE_DESK, THE_FUZZ, TOGETHER};
use crate::tools::Tool;
use crate::{folders, process, setup};

/// Format, lints, docs, licences and the laws.
///
/// Installs what building the desktop window takes, if it is missing (by apt-get; without root rights it names the
/// command instead). Runs rustfmt, clippy and rustdoc with warnings as errors, cargo-deny (licences, bans and
/// sources; built into target/tools when it is missing), and the tests of the laws.
#[derive(Args)]
pub(crate) struct Options {}

/// The release that `.config/deny.toml` is written for.
const DENY: Tool = Tool { name: "cargo-deny", version: "0.20.2", why: "for the licence check" };

pub(crate) fn run() -> Result<()> {
    process::run(&mut process::cargo(["fmt", "--all", "--check"]))?;
    setup::desk()?;
    for which in [&TOGETHER[..], &THE_DESK, &THE_FUZZ] {
        let mut clippy = process::cargo(["clippy", "--all-targets", "--locked"]);
        process::run(clippy.args(which).args(["--", "-D", "warnings"]))?;
    }
    // The plugin's library and the command are both called `candlemark`, and their pages share a folder: in
    // two runs neither can disturb the other.
    let but_the_command = [&TOGETHER[..], &["--exclude", "candlemark-command"]].concat();
    for which in [&but_the_command[..], &["--package", "candlemark-command"], &THE_DESK] {
        process::run(
            process::cargo(["doc", "--no-deps", "--locked"]).args(which).env("RUSTDOCFLAGS", "-D warnings"),
        )?;
    }
    deny()?;
    // With the features of the whole workspace, so that `test` finds it built.
    process::run(process::cargo(["test", "--locked", "--test", "laws"]).args(TOGETHER))?;
    println!("All checks hold.");
    Ok(())
}

/// Holds the dependency tree to `.config/deny.toml`. Advisories are not asked for: they need a database
/// from the network, and a check must give the same answer tomorrow.
fn deny() -> Result<()> {
    process::run(
        Command::new(DENY.ensure()?)
            .current_dir(folders::workspace())
            .args(["--locked", "--workspace", "--config", ".config/deny.toml"])
            .args(["check", "bans", "licenses", "sources"]),
    )
}
