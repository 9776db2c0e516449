//! `cargo xtask setup`: what the tests need from outside.

use std::path::PathBuf;
use std::process::Command;

use anyhow::Result;

use crate::apt::{self, Need};
use crate::{music, process, python};

/// What the tests need from outside the workspace, and where it is.
pub(crate) struct Outside {
    /// The interpreter of the tests' own Python environment.
    pub(crate) python: PathBuf,
    /// The folder of the real music.
    pub(crate) music: PathBuf,
}

const NEEDS: [Need; 9] = [
    Need {
        package: "ffmpeg",
        why: "its loudness filter is a peer for the figures, and it encodes the tests' AAC and MP3",
        present: || process::exists("ffmpeg"),
    },
    Need {
        package: "python3-venv",
        why: "the tests' Python environment (SciPy's filter banks, a VST3 host)",
        present: || process::succeeds(Command::new("python3").args(["-c", "import ensurepip, venv"])),
    },
    Need {
        package: "xvfb",
        why: "a display without a screen, for the editor's window",
        present: || process::exists("Xvfb"),
    },
    Need { package: "libx11-xcb1", why: WINDOW, present: || has_library("libX11-xcb.so.1") },
    Need { package: "libxkbcommon-x11-0", why: WINDOW, present: || has_library("libxkbcommon-x11.so.0") },
    Need { package: "libegl1", why: WINDOW, present: || has_library("libEGL.so.1") },
    Need { package: "libgl1", why: WINDOW, present: || has_library("libGL.so.1") },
    Need {
        package: "libgl1-mesa-dri",
        why: "draws the editor without a graphics card",
        present: || process::succeeds(Command::new("dpkg").args(["--status", "libgl1-mesa-dri"])),
    },
    Need {
        package: "jackd2",
        why: "a sound server without a sound card, for the desktop window",
        present: || process::exists("jackd") && process::exists("jack_rec"),
    },
];

/// What building the desktop window takes, and nothing else does.
const DESK_NEEDS: [Need; 3] = [
    Need { package: "pkg-config", why: DESK, present: || process::exists("pkg-config") },
    Need { package: "libasound2-dev", why: DESK, present: || has_headers("alsa") },
    Need { package: "libjack-jackd2-dev", why: DESK, present: || has_headers("jack") },
];

const DESK: &str = "candlemark-desk is built with it";

/// Whether what it takes to build against a library is here.
fn has_headers(name: &str) -> bool {
    process::succeeds(Command::new("pkg-config").args(["--exists", name]))
}

/// Installs what building the desktop window takes, where that comes from packages: on Linux.
pub(crate) fn desk() -> Result<()> {
    if cfg!(target_os = "linux") { apt::ensure(&DESK_NEEDS) } else { Ok(()) }
}

/// Why the window's libraries are needed. The plugin loads them by name; building it takes none.
const WINDOW: &str = "the editor's window loads it";

/// Whether the system's loader knows a library.
fn has_library(name: &str) -> bool {
    let known = process::output(Command::new("ldconfig").arg("-p")).unwrap_or_default();
    known.lines().any(|line| line.split_whitespace().next() == Some(name))
}

/// Installs and fetches what is missing.
pub(crate) fn outside() -> Result<Outside> {
    apt::ensure(&NEEDS)?;
    desk()?;
    Ok(Outside { python: python::ensure()?, music: music::ensure()? })
}

pub(crate) fn run() -> Result<()> {
    let outside = outside()?;
    println!("Python: {}", outside.python.display());
    println!("Music:  {}", outside.music.display());
    Ok(())
}
