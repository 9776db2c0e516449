//! Where the clerk finds what it reads and writes.

use candlemark_files::journal::Journals;
use candlemark_files::kept::KeptFile;
use candlemark_files::{FileError, Shelf};
use candlemark_session::chair::Marks;
use candlemark_session::room::Room;

/// Finds what is kept beside projects: it may come and go with a disk, so it is found anew for each piece of work.
pub(crate) type Find<T> = fn() -> Result<T, FileError>;

/// What is kept beside projects.
#[derive(Clone, Copy)]
pub(crate) struct Folders {
    pub(crate) shelf: Find<Shelf>,
    pub(crate) journals: Find<Journals>,
    pub(crate) monitor: Find<KeptFile<Marks>>,
    pub(crate) room: Find<KeptFile<Room>>,
}

impl Folders {
    /// The user's own.
    pub(crate) const OF_USER: Self = Self {
        shelf: Shelf::of_user,
        journals: Journals::of_user,
        monitor: KeptFile::of_user,
        room: KeptFile::of_user,
    };
}
