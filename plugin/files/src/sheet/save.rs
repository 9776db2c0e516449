//! Putting a sheet on the disk: whole, or not at all.

use std::fs::File;
use std::io::{ErrorKind, Write as _};
use std::path::Path;

use crate::error::FileError;

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
            let folder = folder(path);
            std::fs::metadata(folder)
                .map(|_| ())
                .map_err(|source| FileError::NotWritable { path: folder.to_owned(), source })
        }
        Err(source) => Err(FileError::NotWritable { path: owned(), source }),
    }
}

fn folder(path: &Path) -> &Path {
    path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or_else(|| Path::new("."))
}

/// Writes a sheet aside and puts it in its place when it is whole. What was there stays until then, and for good where
/// something fails.
///
/// # Errors
///
/// When it can't be written, or there is a file already and `over` is not said.
pub fn save(path: &Path, page: &str, over: bool) -> Result<(), FileError> {
    let writing = |source| FileError::NotWritable { path: path.to_owned(), source };
    let folder = folder(path);
    let mut builder = tempfile::Builder::new();
    builder.prefix(".new-").suffix(".tmp");
    // Others may read it as they may read any new file of this person's: the system takes away what it does not allow.
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    let mut file = builder.tempfile_in(folder).map_err(writing)?;
    file.write_all(page.as_bytes()).map_err(writing)?;
    file.as_file().sync_all().map_err(writing)?;
    let put = if over { file.persist(path) } else { file.persist_noclobber(path) };
    put.map_err(|error| match error.error.kind() {
        ErrorKind::AlreadyExists if !over => FileError::SheetExists { path: path.to_owned() },
        _ => writing(error.error),
    })?;
    #[cfg(unix)]
    File::open(folder).and_then(|folder| folder.sync_all()).map_err(writing)?;
    Ok(())
}
