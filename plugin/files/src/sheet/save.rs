//! Putting a sheet on the disk: whole, or not at all.

use std::fs::File;
use std::io::{ErrorKind, Read as _};
use std::path::Path;

use super::GENERATOR;
use crate::error::FileError;
use crate::written::{Replace, folder_of, write_whole};

/// A sheet tells within so many bytes what made it (ours); its style comes after that.
const HEAD_BYTES: u64 = 2048;

/// Whether a sheet can be written as `path`, before the work of measuring: with `over` a sheet that is there is written over,
/// and a file without a byte in it; nothing else ever is.
///
/// # Errors
///
/// When there is a sheet already and `over` is not said, or a file that is none; when `path` is a folder or one of the `songs`,
/// or its folder is not there.
pub fn check_free<P: AsRef<Path>>(path: &Path, over: bool, songs: &[P]) -> Result<(), FileError> {
    let owned = || path.to_owned();
    // Of two ways to one file the system knows that they are one.
    let is_song = |song: &P| match (song.as_ref().canonicalize(), path.canonicalize()) {
        (Ok(song), Ok(path)) => song == path,
        _ => false,
    };
    if songs.iter().any(is_song) {
        return Err(FileError::SheetIsASong { path: owned() });
    }
    match std::fs::symlink_metadata(path) {
        Ok(metadata) if metadata.is_dir() => Err(FileError::of_writing(path)(ErrorKind::IsADirectory.into())),
        // A device or a pipe would be replaced by a file.
        Ok(metadata) if !metadata.is_file() && !metadata.is_symlink() => {
            Err(FileError::of_writing(path)(std::io::Error::other("it is a device, not a file")))
        }
        Ok(_) if !gives_way(path) => Err(FileError::NotASheet { path: owned() }),
        Ok(_) if !over => Err(FileError::SheetExists { path: owned() }),
        Ok(_) => Ok(()),
        Err(error) if error.kind() == ErrorKind::NotFound => {
            let folder = folder_of(path);
            std::fs::metadata(folder).map(|_| ()).map_err(FileError::of_writing(folder))
        }
        Err(error) => Err(FileError::of_writing(path)(error)),
    }
}

/// Writes a sheet aside and puts it in its place when it is whole. What was there stays until then, and for good where
/// something fails.
///
/// # Errors
///
/// When it can't be written, or there is a file already and `over` is not said, or one that is no sheet.
pub fn save(path: &Path, page: &str, over: bool) -> Result<(), FileError> {
    // Minutes of measuring may lie behind the first look.
    if over && path.symlink_metadata().is_ok() && !gives_way(path) {
        return Err(FileError::NotASheet { path: path.to_owned() });
    }
    let replace = if over { Replace::WhatIsThere } else { Replace::Nothing };
    write_whole(path, page.as_bytes(), replace).map_err(|error| match error.kind() {
        ErrorKind::AlreadyExists if !over => FileError::SheetExists { path: path.to_owned() },
        _ => FileError::of_writing(path)(error),
    })
}

/// Whether what is there may be written over where that is asked for: a sheet of ours, or a file that holds nothing.
fn gives_way(path: &Path) -> bool {
    is_sheet(path) || std::fs::metadata(path).is_ok_and(|there| there.is_file() && there.len() == 0)
}

/// Whether there is a sheet of ours. What can't be read is none.
pub(super) fn is_sheet(path: &Path) -> bool {
    let mut head = Vec::new();
    // A pipe would be waited for.
    let is_file = std::fs::metadata(path).is_ok_and(|metadata| metadata.is_file());
    let read =
        is_file.then(|| File::open(path).and_then(|file| file.take(HEAD_BYTES).read_to_end(&mut head)));
    let told = format!("<meta name=\"generator\" content=\"{GENERATOR} ");
    read.is_some_and(|read| read.is_ok()) && String::from_utf8_lossy(&head).contains(&told)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Between the first look and the writing lie minutes, in which a person may have put something there.
    #[test]
    fn what_came_while_it_was_measured_is_kept() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("sheet.html");
        check_free(&path, true, &[] as &[&Path]).unwrap();
        std::fs::write(&path, "a letter").unwrap();
        assert_eq!(save(&path, "a page", true).unwrap_err().kind(), "not-a-sheet");
        assert_eq!(save(&path, "a page", false).unwrap_err().kind(), "sheet-exists");
        assert_eq!(std::fs::read(&path).unwrap(), b"a letter");
        std::fs::write(&path, "").unwrap();
        save(&path, "a page", true).unwrap();
        assert_eq!(std::fs::read(&path).unwrap(), b"a page");
    }
}
