//! Packages of the system, by apt-get.

use std::process::Command;

use anyhow::{Result, bail};

use crate::process;

/// A package that something needs, and how to tell that it is there.
pub(crate) struct Need {
    /// Its name in Debian.
    pub(crate) package: &'static str,
    /// What it is needed for.
    pub(crate) why: &'static str,
    /// Whether what it brings is there already, from wherever it came.
    pub(crate) present: fn() -> bool,
}

/// Installs what is missing of `needs`, and says what and why. Where it may not, it fails and names the
/// command that would.
pub(crate) fn ensure(needs: &[Need]) -> Result<()> {
    let missing: Vec<&Need> = needs.iter().filter(|need| !(need.present)()).collect();
    if missing.is_empty() {
        return Ok(());
    }
    let list: String = missing.iter().flat_map(|need| ["\n  ", need.package, ": ", need.why]).collect();
    let packages: Vec<&str> = missing.iter().map(|need| need.package).collect();
    match Permission::here() {
        Permission::NoApt => bail!("these are missing, and apt-get is not here to install them:{list}"),
        Permission::NotRoot => {
            bail!(
                "these are missing:{list}\nInstall them, then run this again:\n  \
                 sudo apt-get update && sudo apt-get install --yes --no-install-recommends {}",
                packages.join(" ")
            )
        }
        Permission::Root => {}
    }
    eprintln!("Installing what is missing:{list}");
    update()?;
    process::run(
        Command::new("apt-get")
            .env("DEBIAN_FRONTEND", "noninteractive")
            .args(["install", "--yes", "--no-install-recommends"])
            .args(&packages),
    )?;
    for need in missing {
        if !(need.present)() {
            bail!("{} is installed, yet what it should bring ({}) is not here", need.package, need.why);
        }
    }
    Ok(())
}

/// Fetches the lists of packages. Needs root.
pub(crate) fn update() -> Result<()> {
    process::run(Command::new("apt-get").args(["update", "--quiet"]))
}

/// What may be done with apt-get here.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum Permission {
    /// There is no apt-get.
    NoApt,
    /// It can download, not install.
    NotRoot,
    /// It can install.
    Root,
}

impl Permission {
    pub(crate) fn here() -> Self {
        if !process::exists("apt-get") {
            Self::NoApt
        } else if process::output(Command::new("id").arg("-u")).is_ok_and(|id| id.trim() == "0") {
            Self::Root
        } else {
            Self::NotRoot
        }
    }
}
