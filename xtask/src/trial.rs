//! `cargo xtask trial`: what takes long, or needs much to be installed, and is run by hand.

use std::ffi::OsString;
use std::path::Path;
use std::process::Command;

use anyhow::Result;
use clap::Subcommand;

use crate::bundle::Profile;
use crate::process;

mod endurance;
mod fuzz;
mod hammer;
mod music;
mod mutants;
mod sheet;
mod workstation;

/// Tries what takes long or needs much to be installed
#[derive(Subcommand)]
pub(crate) enum Trial {
    Endurance(endurance::Options),
    Fuzz(fuzz::Options),
    Hammer(hammer::Options),
    Music(music::Options),
    Mutants(mutants::Options),
    Sheet(sheet::Options),
    Workstation(workstation::Options),
}

pub(crate) fn run(trial: &Trial) -> Result<()> {
    match trial {
        Trial::Endurance(options) => endurance::run(options),
        Trial::Fuzz(options) => fuzz::run(options),
        Trial::Hammer(_) => hammer::run(),
        Trial::Music(_) => music::run(),
        Trial::Mutants(options) => mutants::run(options),
        Trial::Sheet(_) => sheet::run(),
        Trial::Workstation(_) => workstation::run(),
    }
}

fn build_command() -> Result<()> {
    Profile::Debug.build(&["candlemark-command"])
}

/// Runs the built command with a home of its own, and gives what it printed.
fn candlemark(home: &Path, arguments: impl IntoIterator<Item = OsString>) -> Result<String> {
    let program = Profile::Debug.program("candlemark")?;
    process::output(Command::new(program).env("CANDLEMARK_HOME", home).args(arguments))
}
