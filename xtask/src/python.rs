//! The tests' own Python environment, with exactly the packages of `tests/requirements.txt`.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context, Result, bail};

use crate::{folders, process, swap};

/// The oldest Python for which all the pinned packages are built.
const OLDEST: (u32, u32) = (3, 11);

/// Gives the interpreter of the environment; makes the environment when it is missing or holds other
/// packages than the pinned ones.
pub(crate) fn ensure() -> Result<PathBuf> {
    let file = folders::workspace().join("tests/requirements.txt");
    let pinned = fs::read_to_string(&file).with_context(|| format!("can't read {}", file.display()))?;
    let home = folders::target().join("venv");
    let python = home.join(if cfg!(windows) { "Scripts/python.exe" } else { "bin/python" });
    let installed = home.join("requirements.txt");
    let current = fs::read_to_string(&installed).is_ok_and(|installed| installed == pinned);
    if current && imports(&python) {
        return Ok(python);
    }
    check_version()?;
    swap::remove(&home)?;
    process::run(Command::new("python3").args(["-m", "venv"]).arg(&home))?;
    // No dependency but the pinned ones, and nothing built from source.
    process::run(
        Command::new(&python)
            .args(["-m", "pip", "install", "--quiet", "--disable-pip-version-check"])
            .args(["--no-deps", "--only-binary=:all:", "--requirement"])
            .arg(&file),
    )?;
    process::run(Command::new(&python).args(["-m", "pip", "check", "--disable-pip-version-check"]))?;
    if !imports(&python) {
        bail!(
            "the packages of {} are installed, yet can't be imported by {}",
            file.display(),
            python.display()
        );
    }
    // Written last: an environment that was left half made is made anew.
    fs::write(&installed, pinned).with_context(|| format!("can't write {}", installed.display()))?;
    Ok(python)
}

fn imports(python: &Path) -> bool {
    process::succeeds(Command::new(python).args(["-c", "import numpy, scipy.signal, soundfile, pedalboard"]))
}

fn check_version() -> Result<()> {
    let program = "import sys; print(sys.version_info.major, sys.version_info.minor)";
    let printed = process::output(Command::new("python3").args(["-c", program]))?;
    let version =
        parse_version(&printed).with_context(|| format!("python3 calls its version {printed:?}"))?;
    if version < OLDEST {
        bail!("python3 is {}.{}; the tests need {}.{} or newer", version.0, version.1, OLDEST.0, OLDEST.1);
    }
    Ok(())
}

fn parse_version(printed: &str) -> Option<(u32, u32)> {
    let (major, minor) = printed.trim().split_once(' ')?;
    Some((major.parse().ok()?, minor.parse().ok()?))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn versions_are_compared_as_numbers() {
        assert_eq!(parse_version("3 11\n"), Some((3, 11)));
        assert!(parse_version("3 9\n").unwrap() < OLDEST);
        assert_eq!(parse_version("nonsense"), None);
    }
}
