//! Putting a sheet on the disk: whole, or not at all.

use std::io::ErrorKind;
use std::path::Path;

use crate::error::FileError;
use crate::written::{Replace, folder_of, write_whole};

/// Whether a sheet can be written as `path`, before the work of measuring: with `over` a sheet that is there is written over.
///
/// # Errors
///
/// When there is a file already, `path` is a folder or one of the `songs`, or its folder is not there.
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
        Ok(metadata) if metadata.is_dir() => {
            Err(FileError::NotWritable { path: owned(), source: ErrorKind::IsADirectory.into() })
        }
        // A device or a pipe would be replaced by a file.
        Ok(metadata) if !metadata.is_file() && !metadata.is_symlink() => Err(FileError::NotWritable {
            path: owned(),
            source: std::io::Error::other("it is a device, not a file"),
        }),
        Ok(_) if !over => Err(FileError::SheetExists { path: owned() }),
        Ok(_) => Ok(()),
        Err(error) if error.kind() == ErrorKind::NotFound => {
            let folder = folder_of(path);
            std::fs::metadata(folder)
                .map(|_| ())
                .map_err(|source| FileError::NotWritable { path: folder.to_owned(), source })
        }
        Err(source) => Err(FileError::NotWritable { path: owned(), source }),
    }
}

/// Writes a sheet aside and puts it in its place when it is whole. What was there stays until then, and for good where
/// something fails.
///
/// # Errors
///
/// When it can't be written, or there is a file already and `over` is not said.
pub fn save(path: &Path, page: &str, over: bool) -> Result<(), FileError> {
    let replace = if over { Replace::WhatIsThere } else { Replace::Nothing };
    write_whole(path, page.as_bytes(), replace).map_err(|source| match source.kind() {
        ErrorKind::AlreadyExists if !over => FileError::SheetExists { path: path.to_owned() },
        _ => FileError::NotWritable { path: path.to_owned(), source },
    })
}
