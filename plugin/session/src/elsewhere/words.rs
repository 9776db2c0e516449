//! What is left elsewhere, as people read it.

use super::{Elsewhere, Playback};
use crate::words::{bands, number};

impl Playback {
    /// How many speakers there are, and what they carry.
    pub fn words(self) -> String {
        let speakers = if self.speakers() == 1 { "one speaker" } else { "two speakers" };
        format!("{speakers}, {}", bands(self.range_hz()))
    }
}

impl Elsewhere {
    /// What is kept of the song.
    pub fn kept_words(&self) -> String {
        self.kept_db.map_or_else(|| "nothing is left".to_owned(), |db| format!("{} dB", number(db, 1)))
    }

    /// The least and the most that is kept of a record. `None` without records.
    pub fn records_words(&self) -> Option<String> {
        self.records_db.map(|[low, high]| format!("{} to {}", number(low, 1), number(high, 1)))
    }
}
