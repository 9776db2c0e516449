//! `cargo xtask install` and `uninstall`: the plugin where hosts look, the command where shells look.

use std::env;
use std::ffi::OsString;
use std::path::PathBuf;

use anyhow::{Context, Result};
use clap::Args;

use crate::bundle::{self, Profile};
use crate::{process, setup, swap};

/// Puts the plugin where hosts look for it, and the command where cargo puts programs.
///
/// CLAP and VST3 go into this user's own folders: ~/.clap and ~/.vst3 (macOS: CLAP and VST3 below
/// ~/Library/Audio/Plug-Ins; Windows: CLAP and VST3 below %LOCALAPPDATA%\Programs\Common). The `candlemark`
/// command goes into cargo's own folder of programs, which is on the path where cargo is. What an older
/// install put there is replaced; nothing else is touched.
#[derive(Args)]
pub(crate) struct Options {
    /// Install the quickly built plugin and command with debug assertions
    #[arg(long)]
    debug: bool,
    /// Install candlemark-desk too, the plugin in a window of its own; building it takes headers of ALSA and JACK,
    /// which are installed if they are missing
    #[arg(long)]
    desk: bool,
}

/// A program that cargo installs: where its package lies, the name by which cargo remembers it, and its own.
struct Program {
    folder: &'static str,
    package: &'static str,
    name: &'static str,
}

const COMMAND: Program =
    Program { folder: "plugin/command", package: "candlemark-command", name: "candlemark" };
const DESK: Program =
    Program { folder: "plugin/window", package: "candlemark-window", name: "candlemark-desk" };

pub(crate) fn run(options: &Options) -> Result<()> {
    let places = Places::of_this_user()?;
    let profile = Profile::of_debug(options.debug);
    let bundles = bundle::build(profile)?;
    COMMAND.install(profile)?;
    if options.desk {
        setup::desk()?;
        DESK.install(profile)?;
    }
    for (bundle, place) in [(bundles.clap, &places.clap), (bundles.vst3, &places.vst3)] {
        swap::put(place, |staging| {
            let ready = staging.join("ready");
            swap::copy(&bundle, &ready)?;
            Ok(ready)
        })?;
        println!("Installed {}", place.display());
    }
    println!("`cargo xtask uninstall` removes all of it again.");
    Ok(())
}

/// Removes what `install` put in place.
pub(crate) fn uninstall() -> Result<()> {
    let places = Places::of_this_user()?;
    for place in [&places.clap, &places.vst3] {
        if swap::remove(place)? {
            println!("Removed {}", place.display());
        } else {
            println!("Not there: {}", place.display());
        }
    }
    let installed = process::output(&mut process::cargo(["install", "--list"]))?;
    for program in [COMMAND, DESK] {
        if program.is_listed(&installed) {
            process::run(&mut process::cargo(["uninstall", "--package", program.package]))?;
        } else {
            println!("Not there: `{}` in cargo's folder of programs", program.name);
        }
    }
    println!("Yardsticks and songs were not touched.");
    Ok(())
}

impl Program {
    fn install(&self, profile: Profile) -> Result<()> {
        let mut install = process::cargo(["install", "--locked", "--path", self.folder]);
        if profile == Profile::Debug {
            install.arg("--debug");
        }
        process::run(&mut install)
    }

    /// Whether cargo's list of what it has installed holds it.
    fn is_listed(&self, list: &str) -> bool {
        list.lines().any(|line| line.split(' ').next() == Some(self.package))
    }
}

/// Where this user's hosts look for plugins.
#[derive(Debug, PartialEq, Eq)]
struct Places {
    clap: PathBuf,
    vst3: PathBuf,
}

impl Places {
    fn of_this_user() -> Result<Self> {
        Self::of(env::consts::OS, |name| env::var_os(name))
    }

    /// The places that the CLAP and VST3 formats give for a user's own plugins.
    fn of(system: &str, variable: impl Fn(&str) -> Option<OsString>) -> Result<Self> {
        let (base, clap, vst3) = match system {
            "windows" => ("LOCALAPPDATA", "Programs/Common/CLAP", "Programs/Common/VST3"),
            "macos" => ("HOME", "Library/Audio/Plug-Ins/CLAP", "Library/Audio/Plug-Ins/VST3"),
            _ => ("HOME", ".clap", ".vst3"),
        };
        let base = variable(base)
            .filter(|value| !value.is_empty())
            .map(PathBuf::from)
            .with_context(|| format!("{base} is not set, so this user's plugin folders are not known"))?;
        Ok(Self {
            clap: base.join(clap).join("Candlemark.clap"),
            vst3: base.join(vst3).join("Candlemark.vst3"),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn places(system: &str, variable: &'static str) -> Result<Places> {
        Places::of(system, |name| (name == variable).then(|| "base".into()))
    }

    #[test]
    fn each_system_has_its_own_places() {
        let linux = places("linux", "HOME").unwrap();
        assert_eq!(linux.clap, PathBuf::from("base/.clap/Candlemark.clap"));
        assert_eq!(linux.vst3, PathBuf::from("base/.vst3/Candlemark.vst3"));
        let mac = places("macos", "HOME").unwrap();
        assert_eq!(mac.vst3, PathBuf::from("base/Library/Audio/Plug-Ins/VST3/Candlemark.vst3"));
        let windows = places("windows", "LOCALAPPDATA").unwrap();
        assert_eq!(windows.clap, PathBuf::from("base/Programs/Common/CLAP/Candlemark.clap"));
    }

    #[test]
    fn without_a_home_nothing_is_guessed() {
        let error = places("linux", "SOMETHING").unwrap_err().to_string();
        assert!(error.contains("HOME"), "{error}");
    }

    #[test]
    fn a_program_is_found_in_cargos_list_by_its_whole_name() {
        let list = "ripgrep v1.0.0:\n    rg\ncandlemark-command v0.1.0 (plugin/command):\n    candlemark\n";
        assert!(COMMAND.is_listed(list) && !DESK.is_listed(list));
        assert!(!COMMAND.is_listed("candlemark-commander v1.0.0:\n    candlemark-command\n"));
    }
}
