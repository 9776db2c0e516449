//! Putting finished files and folders into place, so that nothing is ever there half written.

use std::ffi::OsString;
use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result};

use crate::folders;

/// Puts a file or folder into `place`, where an older one may lie. `make` is given an empty folder beside it, on the same
/// file system, and gives the path at which it has made there what shall be in place.
pub(crate) fn put(place: &Path, make: impl FnOnce(&Path) -> Result<PathBuf>) -> Result<()> {
    let staging = emptied(beside(place, "staging"))?;
    into_place(&make(&staging)?, place)?;
    remove(&staging).map(drop)
}

/// A folder with nothing in it, whatever was there.
pub(crate) fn emptied(folder: PathBuf) -> Result<PathBuf> {
    remove(&folder)?;
    folders::made(folder)
}

/// Moves the finished file or folder `ready` to `place`.
fn into_place(ready: &Path, place: &Path) -> Result<()> {
    let old = beside(place, "old");
    remove(&old)?;
    // A folder can't be renamed over a full one.
    if place.is_dir() {
        fs::rename(place, &old).with_context(|| format!("can't move {} aside", place.display()))?;
    }
    fs::rename(ready, place).with_context(|| format!("can't put {} into place", place.display()))?;
    remove(&old).map(drop)
}

/// Copies a file, or a folder with all that is in it.
pub(crate) fn copy(from: &Path, to: &Path) -> Result<()> {
    let problem = || format!("can't copy {} to {}", from.display(), to.display());
    if !from.is_dir() {
        fs::copy(from, to).with_context(problem)?;
        return Ok(());
    }
    fs::create_dir_all(to).with_context(problem)?;
    for entry in from.read_dir().with_context(problem)? {
        let entry = entry.with_context(problem)?;
        copy(&entry.path(), &to.join(entry.file_name()))?;
    }
    Ok(())
}

/// Removes a file, or a folder with all that is in it; says whether there was one.
pub(crate) fn remove(path: &Path) -> Result<bool> {
    let removed = if path.is_dir() && !path.is_symlink() {
        fs::remove_dir_all(path)
    } else if path.exists() || path.is_symlink() {
        fs::remove_file(path)
    } else {
        return Ok(false);
    };
    removed.with_context(|| format!("can't remove {}", path.display()))?;
    Ok(true)
}

fn beside(place: &Path, what: &str) -> PathBuf {
    let mut name = OsString::from(".");
    name.push(place.file_name().unwrap_or_default());
    name.push(".");
    name.push(what);
    place.with_file_name(name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_folder_takes_the_place_of_an_older_one() {
        let home = tempfile::tempdir().unwrap();
        let place = home.path().join("Thing.vst3");
        fs::create_dir(&place).unwrap();
        fs::write(place.join("left over"), "old").unwrap();

        put(&place, |staging| {
            let ready = folders::made(staging.join("ready"))?;
            fs::write(ready.join("library"), "new")?;
            Ok(ready)
        })
        .unwrap();

        assert_eq!(fs::read_to_string(place.join("library")).unwrap(), "new");
        assert!(!place.join("left over").exists());
        assert_eq!(home.path().read_dir().unwrap().count(), 1, "something was left beside it");
    }

    #[test]
    fn a_file_takes_the_place_of_an_older_one() {
        let home = tempfile::tempdir().unwrap();
        let place = home.path().join("Thing.clap");
        fs::write(&place, "old").unwrap();
        put(&place, |staging| {
            let ready = staging.join("ready");
            fs::write(&ready, "new")?;
            Ok(ready)
        })
        .unwrap();
        assert_eq!(fs::read_to_string(&place).unwrap(), "new");
        assert!(remove(&place).unwrap());
        assert!(!remove(&place).unwrap(), "nothing was left to remove");
    }

    #[test]
    fn a_folder_is_copied_with_all_that_is_in_it() {
        let home = tempfile::tempdir().unwrap();
        let from = home.path().join("from");
        fs::create_dir_all(from.join("Contents/inner")).unwrap();
        fs::write(from.join("Contents/inner/library"), "bytes").unwrap();
        copy(&from, &home.path().join("to")).unwrap();
        assert_eq!(fs::read_to_string(home.path().join("to/Contents/inner/library")).unwrap(), "bytes");
    }
}
