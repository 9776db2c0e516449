//! What a person asks the clerk for.

use std::path::PathBuf;

/// What a person asks for that has to do with meaning or with files.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Order {
    /// Put the song beside this yardstick of the shelf.
    Use(String),
    /// Put it beside none.
    UseNone,
    /// What lies aside is the song now.
    KeepAside,
    /// Look at the shelf again.
    LookAtShelf,
    /// Take a yardstick of this name from these files, put it on the shelf, and use it. What is being taken is broken off.
    Take(String, Vec<PathBuf>),
    /// Break off what is being taken.
    StopTaking,
    /// The person means what the remark of this name says.
    Mean(String),
    /// They do not mean it any more.
    NoLongerMean(String),
}
