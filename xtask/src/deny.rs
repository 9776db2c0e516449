//! cargo-deny, in the workspace's own tools, for the licences and sources of the dependency tree.

use std::path::PathBuf;
use std::process::Command;

use anyhow::Result;

use crate::{folders, process};

/// The release that `.config/deny.toml` is written for.
const VERSION: &str = "0.20.2";

/// Holds the dependency tree to `.config/deny.toml`. Advisories are not asked for: they need a database
/// from the network, and a check must give the same answer tomorrow.
pub(crate) fn check() -> Result<()> {
    let deny = ensure()?;
    process::run(
        Command::new(deny)
            .current_dir(folders::workspace())
            .args(["--locked", "--workspace", "--config", ".config/deny.toml"])
            .args(["check", "bans", "licenses", "sources"]),
    )
}

fn ensure() -> Result<PathBuf> {
    let tools = folders::target().join("tools");
    let deny = tools.join("bin").join(format!("cargo-deny{}", std::env::consts::EXE_SUFFIX));
    let version = process::output(Command::new(&deny).arg("--version"));
    if version.is_ok_and(|version| version.trim().ends_with(VERSION)) {
        return Ok(deny);
    }
    eprintln!("Building cargo-deny {VERSION} for the licence check (a few minutes, once)");
    // Unoptimised, it is built in half the time and still answers within seconds.
    process::run(
        process::cargo(["install", "--locked", "--debug", "--force", "--root"])
            .arg(&tools)
            .arg(format!("cargo-deny@{VERSION}")),
    )?;
    Ok(deny)
}
