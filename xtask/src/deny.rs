//! cargo-deny, for the licences and sources of the dependency tree.

use std::process::Command;

use anyhow::Result;

use crate::tools::Tool;
use crate::{folders, process};

/// The release that `.config/deny.toml` is written for.
const DENY: Tool = Tool { name: "cargo-deny", version: "0.20.2", why: "for the licence check" };

/// Holds the dependency tree to `.config/deny.toml`. Advisories are not asked for: they need a database
/// from the network, and a check must give the same answer tomorrow.
pub(crate) fn check() -> Result<()> {
    process::run(
        Command::new(DENY.ensure()?)
            .current_dir(folders::workspace())
            .args(["--locked", "--workspace", "--config", ".config/deny.toml"])
            .args(["check", "bans", "licenses", "sources"]),
    )
}
