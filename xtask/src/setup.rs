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

const NEEDS: [Need; 2] = [
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
];

/// Installs and fetches what is missing.
pub(crate) fn outside() -> Result<Outside> {
    apt::ensure(&NEEDS)?;
    Ok(Outside { python: python::ensure()?, music: music::ensure()? })
}

pub(crate) fn run() -> Result<()> {
    let outside = outside()?;
    println!("Python: {}", outside.python.display());
    println!("Music:  {}", outside.music.display());
    Ok(())
}
