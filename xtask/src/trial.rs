//! `cargo xtask trial`: what takes long, or needs much to be installed, and is run by hand.

use anyhow::Result;
use clap::Subcommand;

mod sheet;

/// Tries what takes long or needs much to be installed
#[derive(Subcommand)]
pub(crate) enum Trial {
    Sheet(sheet::Options),
}

pub(crate) fn run(trial: &Trial) -> Result<()> {
    match trial {
        Trial::Sheet(options) => sheet::run(options),
    }
}
