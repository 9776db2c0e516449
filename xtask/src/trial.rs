//! `cargo xtask trial`: what takes long, or needs much to be installed, and is run by hand.

use anyhow::Result;
use clap::Subcommand;

mod fuzz;
mod music;
mod sheet;

/// Tries what takes long or needs much to be installed
#[derive(Subcommand)]
pub(crate) enum Trial {
    Fuzz(fuzz::Options),
    Music(music::Options),
    Sheet(sheet::Options),
}

pub(crate) fn run(trial: &Trial) -> Result<()> {
    match trial {
        Trial::Fuzz(options) => fuzz::run(options),
        Trial::Music(options) => music::run(options),
        Trial::Sheet(options) => sheet::run(options),
    }
}
