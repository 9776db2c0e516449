//! The lights-out pass: the whole song once without looking, and what the hand taps meanwhile.

use std::collections::VecDeque;

use candlemark_analysis::{Db, Lufs, Reading};
use serde::{Deserialize, Serialize};

use crate::figures::SongFigures;
use crate::pencil::{MetersRead, SongPlace};

/// A tap comes so long after what it is about, to begin with, in seconds (ours).
pub const HAND_S: f64 = 2.0;

/// The least and the most of that, in seconds (ours).
pub const HAND_LIMITS_S: [f64; 2] = [0.0, 5.0];

/// Playback has stopped when nothing has come for so long, in seconds (ours): a host that stops may just call no more.
const STOPPED_S: f64 = 1.5;

/// So much of what was played is remembered, in seconds: as far back as a hand can be late.
const TRAIL_S: f64 = 6.0;

/// What there is to show while it is dark.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Dark {
    /// Playback has not begun yet.
    pub waits: bool,
    /// Marks that were made so far.
    pub marks: usize,
}

/// A listen that is over.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Listen {
    /// Which it was, from 1.
    pub number: u32,
    /// When it ended, in seconds since 1970 by the clock on the wall.
    pub ended_unix_s: f64,
    /// How many seconds were played.
    pub played_s: f64,
    /// Integrated loudness of the song then.
    #[serde(default, rename = "integrated_lufs", skip_serializing_if = "Option::is_none")]
    pub integrated: Option<Lufs>,
    /// Loudness range of the song then, in LU.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub range_lu: Option<f64>,
    /// Largest true peak of the song then, in dBTP.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub true_peak_dbtp: Option<Db>,
    /// Peak to short-term ratio of the loud parts then.
    #[serde(default, rename = "psr_loud_db", skip_serializing_if = "Option::is_none")]
    pub psr_loud: Option<Db>,
    /// Mono fold of the song then; absent where nothing is left.
    #[serde(default, rename = "fold_db", skip_serializing_if = "Option::is_none")]
    pub fold: Option<Db>,
}

impl Listen {
    /// A listen that ended now, of a song that measures so.
    pub fn of(number: u32, ended_unix_s: f64, played_s: f64, song: &SongFigures) -> Self {
        Self {
            number,
            ended_unix_s,
            played_s,
            integrated: song.integrated,
            range_lu: song.range_lu,
            true_peak_dbtp: song.true_peak_dbtp,
            psr_loud: song.psr_loud,
            fold: song.fold.db(),
        }
    }
}

/// What became of a lights-out pass with what came last.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Became {
    /// It goes on, or there is none.
    Same,
    /// Playback stopped, after so many seconds: the lights are on again.
    Over(f64),
}

/// A lights-out pass while it lasts.
#[derive(Clone, Debug)]
pub struct LightsOut {
    hand_s: f64,
    /// What was played last, with how long ago its end is, newest last.
    trail: VecDeque<(f64, SongPlace, MetersRead)>,
    played_s: f64,
    still_s: f64,
    /// How many of what was played last have come since time passed.
    fresh: usize,
    marks: usize,
}

impl LightsOut {
    /// The lights go out. `hand_s` is how late the hand is, in seconds; what is no number is as to begin with.
    pub fn new(hand_s: f64) -> Self {
        let [least, most] = HAND_LIMITS_S;
        let hand_s = if hand_s.is_nan() { HAND_S } else { hand_s.clamp(least, most) };
        Self { hand_s, trail: VecDeque::new(), played_s: 0.0, still_s: 0.0, fresh: 0, marks: 0 }
    }

    /// What there is to show.
    pub fn dark(&self) -> Dark {
        Dark { waits: self.played_s == 0.0, marks: self.marks }
    }

    /// So many seconds pass, whether something is played or not. A large block is told of at once, when it has been played.
    pub fn pass(&mut self, seconds: f64) {
        self.fresh = 0;
        for (ago_s, ..) in &mut self.trail {
            *ago_s += seconds;
        }
        while self.trail.front().is_some_and(|(ago_s, ..)| *ago_s > TRAIL_S) {
            self.trail.pop_front();
        }
    }

    /// Takes a reading of so many seconds in.
    pub fn take(&mut self, reading: &Reading, seconds: f64) -> Became {
        if reading.place.pass == 0 {
            return self.be_still(seconds);
        }
        self.still_s = 0.0;
        self.played_s += seconds;
        let place = SongPlace { song_s: reading.place.song_s, beats: reading.place.beats };
        for (ago_s, ..) in self.trail.iter_mut().rev().take(self.fresh) {
            *ago_s += seconds;
        }
        self.trail.push_back((0.0, place, MetersRead::of(reading)));
        self.fresh += 1;
        Became::Same
    }

    /// Nothing came for so many seconds.
    pub fn be_still(&mut self, seconds: f64) -> Became {
        self.still_s += seconds;
        let is_over = self.played_s > 0.0 && self.still_s >= STOPPED_S;
        if is_over { Became::Over(self.played_s) } else { Became::Same }
    }

    /// The hand taps: where in the song it was meant, and what the meters read there. `None` while nothing was played.
    ///
    /// What it was meant for lies as much earlier as the hand is late, and never before what was played.
    pub fn mark(&mut self) -> Option<(SongPlace, MetersRead)> {
        let late = |(ago_s, ..): &&(f64, SongPlace, MetersRead)| *ago_s >= self.hand_s - 1e-9;
        let meant = self.trail.iter().rev().find(late).or_else(|| self.trail.front());
        let (_, place, read) = *meant?;
        self.marks += 1;
        Some((place, read))
    }
}

#[cfg(test)]
mod tests;
