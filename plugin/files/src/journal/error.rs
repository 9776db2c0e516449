//! What can be wrong with a journal.

use std::path::{Path, PathBuf};

use thiserror::Error;

use super::MOST_BYTES;

/// What is wrong with a journal, or its folder. `Display` says what, where and what to do.
#[derive(Debug, Error)]
#[error("{}: {flaw}", path.display())]
pub struct JournalError {
    path: PathBuf,
    flaw: Flaw,
}

/// What is wrong with it.
#[derive(Debug, Error)]
pub(super) enum Flaw {
    #[error("it can't be read ({0}); what you mark is kept in the project alone")]
    NotReadable(std::io::Error),
    #[error("it can't be written ({0}); make room or see to its permissions, and save the project meanwhile")]
    NotWritable(std::io::Error),
    #[error(
        "a newer Candlemark has written it; it is left as it is, so save the project to keep what you mark"
    )]
    Newer,
    #[error("this is no journal; move it elsewhere, and one is begun here")]
    Foreign,
    #[error("this is larger than the {} MB that a journal can have; move it elsewhere, and one is begun here", MOST_BYTES >> 20)]
    TooLarge,
}

impl Flaw {
    /// That it is wrong with what is at `path`.
    pub(super) fn of(self, path: &Path) -> JournalError {
        JournalError { path: path.to_owned(), flaw: self }
    }
}
