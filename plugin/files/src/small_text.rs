//! Finding and reading the small text files that a person keeps: yardsticks, delivery profiles, the room.

use std::fs::File;
use std::io::{Error, ErrorKind, Read as _};
use std::path::{Path, PathBuf};

use crate::error::FileError;
use crate::text_fault::Flaw;
use crate::text_format::TextFormat;

/// Ending of such a file.
pub(crate) const ENDING: &str = "toml";

/// Why there is no text.
#[derive(Debug)]
pub(crate) enum NoText {
    /// What the system said.
    System(Error),
    /// It is a folder.
    Folder,
    /// It is a device or a pipe.
    NotAFile,
    /// It is larger than any such file.
    TooLarge {
        /// Its size in bytes.
        bytes: u64,
    },
    /// It is not text to its end.
    NotText {
        /// The text before what is none.
        before: String,
    },
}

/// The text of a file of at most `most_bytes`.
pub(crate) fn small_text(path: &Path, most_bytes: u64) -> Result<String, NoText> {
    let metadata = std::fs::metadata(path).map_err(NoText::System)?;
    if metadata.is_dir() {
        return Err(NoText::Folder);
    }
    if !metadata.is_file() {
        return Err(NoText::NotAFile);
    }
    let mut bytes = Vec::new();
    let file = File::open(path).map_err(NoText::System)?;
    file.take(most_bytes + 1).read_to_end(&mut bytes).map_err(NoText::System)?;
    if bytes.len() as u64 > most_bytes {
        return Err(NoText::TooLarge { bytes: metadata.len() });
    }
    String::from_utf8(bytes).map_err(|error| {
        let text = &error.as_bytes()[..error.utf8_error().valid_up_to()];
        NoText::NotText { before: String::from_utf8_lossy(text).into_owned() }
    })
}

/// The text of a file that should be of `format`.
pub(crate) fn text_of(
    path: &Path,
    format: &'static TextFormat,
    most_bytes: u64,
) -> Result<String, FileError> {
    small_text(path, most_bytes).map_err(|error| {
        let flaw = match error {
            NoText::System(error) => return FileError::of_reading(path, error),
            NoText::Folder => return FileError::Folder { path: path.to_owned() },
            NoText::NotAFile => return FileError::NotAFile { path: path.to_owned() },
            NoText::TooLarge { bytes } => Flaw::TooLarge(bytes),
            NoText::NotText { before } => format.not_text(&before),
        };
        FileError::Text { path: path.to_owned(), source: format.fault(flaw) }
    })
}

/// The files of TOML in a folder, with their names without that ending, sorted by name. None when the folder does not exist;
/// hidden ones are not a person's.
///
/// # Errors
///
/// When the folder can't be read.
pub(crate) fn files_in(folder: &Path) -> Result<Vec<(String, PathBuf)>, FileError> {
    let reading = |error| FileError::of_reading(folder, error);
    let entries = match std::fs::read_dir(folder) {
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok(Vec::new()),
        entries => entries.map_err(reading)?,
    };
    let mut files = Vec::new();
    for entry in entries {
        let path = entry.map_err(reading)?.path();
        let is_one = path.extension().is_some_and(|there| there.eq_ignore_ascii_case(ENDING));
        if let Some(name) = path.file_stem().map(|stem| stem.to_string_lossy().into_owned())
            && is_one
            && !name.starts_with('.')
        {
            files.push((name, path));
        }
    }
    files.sort_by_cached_key(|(name, _)| (name.to_lowercase(), name.clone()));
    Ok(files)
}
