//! Pencil marks: what a person taps while they listen without looking, and what they do about it later.

use candlemark_analysis::{Db, Lufs, Reading};
use serde::{Deserialize, Serialize};

use crate::figures::Fold;
use crate::words::one_line;

/// Marks of one song at most (ours): a page that nobody reads to its end serves nobody.
pub const MARKS_MOST: usize = 500;

/// Letters in a note at most (ours).
pub const NOTE_MOST: usize = 200;

/// One mark.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PencilMark {
    /// Its own number in the song, from 1, never given twice.
    pub number: u32,
    /// The lights-out pass that it was made in, from 1.
    pub listen: u32,
    /// When it was made, in seconds since 1970 by the clock on the wall.
    pub made_unix_s: f64,
    /// Where in the song.
    pub at: SongPlace,
    /// What the meters read there.
    pub read: MetersRead,
    /// What the person wrote beside it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
    /// The person has dealt with it.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub dealt_with: bool,
}

impl PencilMark {
    /// Writes a note beside it: one line, no longer than [`NOTE_MOST`].
    pub fn write(&mut self, note: &str) {
        self.note = one_line(note, NOTE_MOST);
    }
}

/// A place in the song.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct SongPlace {
    /// In seconds from the song's start.
    pub song_s: f64,
    /// In quarter notes from there, where the host tells them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub beats: Option<f64>,
}

/// Quarter notes in a bar (common practice, no source): hosts tell quarter notes, and most songs have four in a bar.
const BEATS_A_BAR: f64 = 4.0;

impl SongPlace {
    /// The bar of four quarter notes, from 1. `None` where the host tells no beats, and before the song's start.
    pub fn bar(self) -> Option<u64> {
        let beats = self.beats.filter(|beats| *beats >= 0.0)?;
        Some((beats / BEATS_A_BAR) as u64 + 1)
    }
}

/// What the meters read at a moment. What is undefined is absent.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct MetersRead {
    /// Short-term loudness.
    #[serde(default, rename = "short_term_lufs", skip_serializing_if = "Option::is_none")]
    pub short_term: Option<Lufs>,
    /// Largest true peak of the last 3 s, in dBTP.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub true_peak_dbtp: Option<Db>,
    /// Mono fold of the last 3 s.
    #[serde(default)]
    pub fold: Fold,
    /// Correlation of the last 3 s.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub correlation: Option<f64>,
}

impl MetersRead {
    /// What they read at a reading's end.
    pub fn of(reading: &Reading) -> Self {
        Self {
            short_term: Lufs::of_power(reading.short_term_power),
            true_peak_dbtp: Db::of_amplitude(reading.true_peak_3s.into()),
            fold: Fold { kept: reading.weighted_3s.fold_kept() },
            correlation: reading.plain_3s.correlation(reading.channels),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_note_is_one_line_of_letters() {
        let mut mark = PencilMark {
            number: 1,
            listen: 1,
            made_unix_s: 0.0,
            at: SongPlace::default(),
            read: MetersRead::default(),
            note: String::new(),
            dealt_with: false,
        };
        mark.write("  the bridge\n\n drags\t\u{7} ");
        assert_eq!(mark.note, "the bridge drags");
        mark.write(&"é".repeat(1000));
        assert_eq!(mark.note.chars().count(), NOTE_MOST);
    }
}
