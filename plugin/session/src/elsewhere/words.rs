//! What is left elsewhere, as people read it.

use super::{Elsewhere, Playback};
use crate::words::{bands, from_to, number};

impl Playback {
    /// How many speakers there are, and what they carry.
    pub fn words(self) -> String {
        format!("{}, {}", self.speakers_words(), bands(self.range_hz()))
    }

    /// How many speakers there are.
    pub(crate) fn speakers_words(self) -> &'static str {
        if self.speakers() == 1 { "one speaker" } else { "two speakers" }
    }
}

impl Elsewhere {
    /// What is kept of the song.
    pub fn kept_words(&self) -> String {
        self.kept_db.map_or_else(|| "nothing is left".to_owned(), |db| format!("{} dB", number(db, 1)))
    }

    /// The least and the most that is kept of a record. `None` without records.
    pub fn records_words(&self) -> Option<String> {
        self.records_db.map(from_to)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_kept_is_said_beside_the_records() {
        let of = |kept_db, records_db| Elsewhere { playback: Playback::ALL[0], kept_db, records_db };
        let (some, none) = (of(Some(-2.06), Some([-3.0, -1.5])), of(None, None));
        assert_eq!((some.kept_words(), none.kept_words()), ("−2.1 dB".into(), "nothing is left".into()));
        assert_eq!((some.records_words(), none.records_words()), (Some("−3.0 to −1.5".into()), None));
    }
}
