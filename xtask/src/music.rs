//! Real stereo music for the tests, out of Debian packages that are unpacked, never installed.

use std::env;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context, Result, bail};

use crate::apt::{self, Permission};
use crate::{folders, process, swap};

/// A package, and the tracks to take from it. Sounds that are not music are left in it.
struct Package {
    name: &'static str,
    folder: &'static str,
    tracks: &'static [&'static str],
}

/// 14 Ogg Vorbis tracks at 44.1 kHz.
const PACKAGES: [Package; 2] = [
    // GPL-3+, 32 MB.
    Package {
        name: "pushover-data",
        folder: "usr/share/pushover/themes",
        tracks: &[
            "aztec.ogg",
            "castle.ogg",
            "dungeon.ogg",
            "electro.ogg",
            "greek.ogg",
            "japanese.ogg",
            "mechanic.ogg",
            "option.ogg",
            "space.ogg",
            "toxcity.ogg",
        ],
    },
    // CC-BY-SA-3.0, 20 MB.
    Package {
        name: "zaz-data",
        folder: "usr/share/games/zaz",
        tracks: &["mus1.ogg", "mus2.ogg", "mus3.ogg", "mus4.ogg"],
    },
];

/// Gives the folder of the music; fetches it when a track is missing. `CANDLEMARK_MUSIC` names another
/// folder, which is then taken as it is.
pub(crate) fn ensure() -> Result<PathBuf> {
    if let Some(folder) = env::var_os("CANDLEMARK_MUSIC") {
        let folder = PathBuf::from(folder);
        if !folder.is_dir() {
            bail!("CANDLEMARK_MUSIC says {}, which is not a folder", folder.display());
        }
        return Ok(folder);
    }
    let music = folders::target().join("music");
    for package in &PACKAGES {
        let home = music.join(package.name);
        if !package.tracks.iter().all(|track| home.join(track).is_file()) {
            fetch(package, &home)?;
        }
    }
    Ok(music)
}

fn fetch(package: &Package, home: &Path) -> Result<()> {
    eprintln!(
        "Fetching music for the tests from the Debian package {} (unpacked, not installed)",
        package.name
    );
    if Permission::here() == Permission::NoApt || !process::exists("dpkg-deb") {
        bail!(
            "apt-get and dpkg-deb are not here to fetch it; put {} of that package into {}",
            package.tracks.join(", "),
            home.display()
        );
    }
    swap::put(home, |staging| {
        let unpacked = unpack(package.name, staging)?;
        let tracks = folders::made(staging.join("tracks"))?;
        for track in package.tracks {
            let from = unpacked.join(package.folder).join(track);
            fs::rename(&from, tracks.join(track))
                .with_context(|| format!("{} holds no {}/{track}", package.name, package.folder))?;
        }
        Ok(tracks)
    })
}

/// Downloads a package into the folder `staging` and unpacks it there; gives the folder that it is unpacked in.
pub(crate) fn unpack(name: &str, staging: &Path) -> Result<PathBuf> {
    download(name, staging)?;
    let mut left = folders::entries(staging)?.into_iter();
    let archive = left
        .find(|path| path.extension().is_some_and(|extension| extension == "deb"))
        .with_context(|| format!("apt-get left no package in {}", staging.display()))?;
    let unpacked = staging.join("unpacked");
    process::run(Command::new("dpkg-deb").arg("--extract").arg(&archive).arg(&unpacked))?;
    Ok(unpacked)
}

fn download(name: &str, into: &Path) -> Result<()> {
    let mut download = Command::new("apt-get");
    download.current_dir(into).args(["download", "--quiet"]);
    let root = Permission::here() == Permission::Root;
    if root {
        // apt's own user can't write below a root user's folders, and would warn of it.
        download.args(["--option", "APT::Sandbox::User=root"]);
    }
    download.arg(name);
    if process::run(&mut download).is_ok() {
        return Ok(());
    }
    if !root {
        bail!(
            "apt-get can't download {name}; perhaps it has no lists of packages yet:\n  sudo apt-get update"
        );
    }
    apt::update()?;
    process::run(&mut download)
}
