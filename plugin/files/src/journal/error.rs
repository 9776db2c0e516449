//! What can be wrong with a journal.

use std::path::{Path, PathBuf};

use thiserror::Error;

use super::MOST_BYTES;

/// What is wrong with a journal. `Display` says what, where and what to do.
#[derive(Debug, Error)]
#[non_exhaustive]
pub enum JournalError {
    /// It can't be read.
    #[error("{}: it can't be read ({source}); what you mark is kept in the project alone", path.display())]
    NotReadable {
        /// The journal.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// It can't be written.
    #[error("{}: it can't be written ({source}); make room or see to its permissions, and save the project meanwhile", path.display())]
    NotWritable {
        /// The journal, or its folder.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// It is of a newer format.
    #[error("{}: a newer Candlemark has written it; it is left as it is, so save the project to keep what you mark", path.display())]
    Newer {
        /// The journal.
        path: PathBuf,
    },
    /// It is no journal.
    #[error("{}: this is no journal; move it elsewhere, and one is begun here", path.display())]
    Foreign {
        /// The file.
        path: PathBuf,
    },
    /// It is larger than any journal.
    #[error("{}: this is larger than the {} MB that a journal can have; move it elsewhere, and one is begun here", path.display(), MOST_BYTES >> 20)]
    TooLarge {
        /// The file.
        path: PathBuf,
    },
}

impl JournalError {
    pub(super) fn writing(path: &Path, source: std::io::Error) -> Self {
        Self::NotWritable { path: path.to_owned(), source }
    }
}
