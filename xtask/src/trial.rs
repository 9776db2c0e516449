//! `cargo xtask trial`: what takes long, or needs much to be installed, and is run by hand.

use anyhow::Result;
use clap::Subcommand;

mod music;
mod sheet;

/// Tries what takes long or needs much to be installed
#[derive(Subcommand)]
pub(crate) enum Trial {
    Music(music::Options),
    Sheet(sheet::Options),
}

pub(crate) fn run(trial: &Trial) -> Result<()> {
    match trial {
        Trial::Music(options) => music::run(options),
        Trial::Sheet(options) => sheet::run(options),
    }
}
