//! Writing a file whole, or not at all.

use std::fs::File;
use std::io::{Error, Write};
use std::path::Path;

/// What becomes of a file that is there already.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Replace {
    /// It stays, and the writing fails with [`std::io::ErrorKind::AlreadyExists`].
    Nothing,
    /// What is written takes its place at one stroke.
    WhatIsThere,
}

/// Writes `bytes` to `path`: aside in the same folder, down to the disk, and then under its name.
///
/// # Errors
///
/// What the system says. Nothing is left behind then, and a file that was there is as it was.
pub(crate) fn write_whole(path: &Path, bytes: &[u8], replace: Replace) -> Result<(), Error> {
    let folder = folder_of(path);
    let mut aside = tempfile::Builder::new();
    aside.prefix(".new-").suffix(".tmp");
    // As any file that a person saves, for those to read whom the person's own settings let.
    #[cfg(unix)]
    let permissions = std::os::unix::fs::PermissionsExt::from_mode(0o666);
    #[cfg(unix)]
    aside.permissions(permissions);
    let mut file = aside.tempfile_in(folder)?;
    file.write_all(bytes)?;
    file.as_file().sync_all()?;
    let persisted = match replace {
        Replace::Nothing => file.persist_noclobber(path),
        Replace::WhatIsThere => file.persist(path),
    };
    persisted.map_err(|error| error.error)?;
    sync_folder(folder)
}

/// The folder in which a file of this path lies.
pub(crate) fn folder_of(path: &Path) -> &Path {
    path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or_else(|| Path::new("."))
}

/// A new name itself must outlast a power cut; where a folder can't be synced, the system does it.
pub(crate) fn sync_folder(folder: &Path) -> Result<(), Error> {
    #[cfg(unix)]
    File::open(folder).and_then(|folder| folder.sync_all())?;
    #[cfg(not(unix))]
    let _ = (folder, File::open::<&Path>);
    Ok(())
}
