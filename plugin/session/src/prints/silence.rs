//! Where one of two prints is silent and the other is not: a part that was muted, or is missing.

use candlemark_analysis::{Cell, Channels, LoudnessHistogram, Power};
use serde::Serialize;

use super::ENVELOPE_DB;
use crate::words::clock;

/// The other print is not silent where it lies so far over what is silence, in dB (ours): of a fade, one print is always under
/// the gate a little before the other.
const SOUNDS_DB: f64 = 20.0;

/// A stretch in which one print is silent and the other is not.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Silent {
    /// Where it begins in the old print, in seconds.
    pub at_s: f64,
    /// Where it ends.
    pub until_s: f64,
    /// The new print is the silent one; else the old one is.
    pub is_new: bool,
}

impl Silent {
    /// Where in the old print it is, and which print is silent there.
    pub fn words(&self) -> String {
        let [silent, other] = if self.is_new { ["new", "old"] } else { ["old", "new"] };
        let (from, to) = (clock(self.at_s), clock(self.until_s));
        format!(
            "From {from} to {to} the {silent} print is silent, the {other} one is not. It is left out here."
        )
    }

    /// How long it is, in seconds.
    pub(super) fn length_s(&self) -> f64 {
        self.until_s - self.at_s
    }
}

/// The power under which a second is silence to an envelope, by the loudest second.
pub(super) fn floor_of(seconds: impl Iterator<Item = f64>) -> f64 {
    seconds.fold(0.0, f64::max) * 10f64.powf(-ENVELOPE_DB / 10.0)
}

/// The power under which a second of a print is silent: that of the absolute gate, or the floor of the envelopes.
fn silence_of(cells: &[Cell]) -> f64 {
    let gate = LoudnessHistogram::ABSOLUTE_GATE.power();
    gate.max(floor_of(cells.iter().map(|cell| total(cell.plain))))
}

/// The filters ring on into the second after a sound ends, and plain samples don't: the lesser of both powers counts.
fn is_silent(cell: &Cell, silence: f64) -> bool {
    total(cell.plain).min(total(cell.weighted)) < silence
}

fn sounds(cell: &Cell, silence: f64) -> bool {
    total(cell.plain) > silence * 10f64.powf(SOUNDS_DB / 10.0)
}

fn total(power: Power) -> f64 {
    power.total(Channels::Stereo)
}

/// Every such stretch of cells of 1 s beside each other, the first of each at `start_s` in the old print; seconds that
/// `is_left_out` are not looked at.
pub(super) fn silent(
    old: &[Cell],
    new: &[Cell],
    start_s: f64,
    is_left_out: impl Fn(usize) -> bool,
) -> Vec<Silent> {
    let common = old.len().min(new.len());
    let (old, new) = (&old[..common], &new[..common]);
    let (old_silence, new_silence) = (silence_of(old), silence_of(new));
    // Of each second, whether the new print is the silent one.
    let of_second = |(second, (old, new)): (usize, (&Cell, &Cell))| {
        let is_looked_at = old.is_filled() && new.is_filled() && !is_left_out(second);
        match is_looked_at {
            true if is_silent(new, new_silence) && sounds(old, old_silence) => Some(true),
            true if is_silent(old, old_silence) && sounds(new, new_silence) => Some(false),
            _ => None,
        }
    };
    let told: Vec<Option<bool>> = old.iter().zip(new).enumerate().map(of_second).collect();
    let mut to = 0;
    let runs = told.chunk_by(|a, b| a == b).filter_map(|run| {
        let from = to;
        to += run.len();
        let [at_s, until_s] = [from, to].map(|second| start_s + second as f64);
        run[0].map(|is_new| Silent { at_s, until_s, is_new })
    });
    runs.collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::a_cell::a_cell;

    /// Seconds of these levels in dB.
    fn print(levels_db: &[f64]) -> Vec<Cell> {
        levels_db.iter().enumerate().map(|(index, db)| a_cell(index as i64, |_| *db)).collect()
    }

    fn found(old_db: &[f64], new_db: &[f64]) -> Vec<Silent> {
        silent(&print(old_db), &print(new_db), 5.0, |second| second == 0)
    }

    #[test]
    fn seconds_in_which_one_alone_is_silent_are_told_with_their_place() {
        let old = [-30.0, -30.0, -30.0, -30.0, -150.0, -30.0];
        let new = [-150.0, -30.0, -150.0, -150.0, -30.0, -30.0];
        let expected = [
            Silent { at_s: 7.0, until_s: 9.0, is_new: true },
            Silent { at_s: 9.0, until_s: 10.0, is_new: false },
        ];
        assert_eq!(found(&old, &new), expected, "the first second is left out");
        assert_eq!(
            expected[0].words(),
            "From 0:07 to 0:09 the new print is silent, the old one is not. It is left out here."
        );
    }

    /// 31 bands of this level in both channels are 10·log10 62 − 0.691 = 17.2 dB more: the gate lies at −87.2.
    #[test]
    fn a_fade_is_silent_in_both() {
        assert_eq!(found(&[-50.0, -50.0, -87.0], &[-50.0, -50.0, -88.0]), []);
        assert_eq!(found(&[-50.0, -50.0, -70.0], &[-50.0, -50.0, -88.0]), [], "17 dB over it");
        assert_eq!(found(&[-50.0, -50.0, -66.0], &[-50.0, -50.0, -88.0]).len(), 1, "21 dB over it");
        assert_eq!(found(&[-50.0, -50.0, -66.0], &[-50.0, -50.0, -87.0]), [], "not under it");
    }

    #[test]
    fn what_lies_sixty_decibels_under_the_loudest_is_silence() {
        assert_eq!(found(&[-10.0, -10.0, -40.0], &[-10.0, -10.0, -70.1]).len(), 1);
        assert_eq!(found(&[-10.0, -10.0, -40.0], &[-10.0, -10.0, -69.9]), []);
    }
}
