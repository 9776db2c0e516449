//! What falls away in mono, and where in the song: the low end, and what cancels above it.

use std::ops::Range;

use candlemark_analysis::bands::{BAND_COUNT, NOMINAL_HZ};
use candlemark_analysis::{Cell, Channels, Hertz, Power};

use crate::figures::{FallsAway, Fold, LowEnd};
use crate::stretches::{Sound, Stretches, start_s};

/// A fold below this falls away, in the low end (common practice, no source), in dB.
pub(crate) const LOW_END_FALLS_DB: f64 = -1.5;
/// The same above it (common practice, no source: −3 is ordinary), in dB.
pub(crate) const FALLS_DB: f64 = -4.0;

/// The low end lies under this frequency, in hertz (common practice, no source).
const LOW_END_HZ: f64 = 125.0;
/// Its bands.
const LOW_END: Range<usize> = 0..8;
/// Above it, octaves from 125 Hz to 12.5 kHz; what lies higher is a file's coding as much as a mix.
const OCTAVES: usize = 7;
const BANDS_IN_OCTAVE: usize = 3;

/// So much of a stretch must be gated sound, or a silence beside it would choose it.
const MOSTLY: f64 = 0.9;
/// A low band further under the loudest of them is not named (ours), in dB.
const NAMED_DB: f64 = -15.0;
/// An octave further under the loudness of the same stretch is hardly heard (ours), in dB.
const HEARD_DB: f64 = -25.0;
/// A stretch of the song is long from here on (ours), in seconds.
const LONG_S: f64 = 20.0;
/// What came before is told from this much of it on (ours), in seconds.
const BEFORE_S: f64 = 10.0;

/// The fold below which what goes up to a band falls away, in dB.
pub(crate) fn falls_below_db(highest_hz: f64) -> f64 {
    if highest_hz < LOW_END_HZ { LOW_END_FALLS_DB } else { FALLS_DB }
}

fn kept_of(db: f64) -> f64 {
    10f64.powf(db / 10.0)
}

/// The sound of those cells that lie above the gate, added up.
fn above(cells: &[&Cell], gate_power: f64) -> Sound {
    Sound::of(cells.iter().copied().filter(|cell| cell.loudness_power() > gate_power))
}

/// The mean of that. `None` where they are not mostly that.
pub(crate) fn gated(row: &[&Cell], gate_power: f64) -> Option<Sound> {
    let sound = above(row, gate_power);
    let frames: f64 = row.iter().map(|cell| f64::from(cell.frames)).sum();
    (sound.frames > 0.0 && sound.frames >= MOSTLY * frames).then(|| sound.mean())
}

fn together(bands: &[Power]) -> Power {
    bands.iter().fold(Power::default(), |sum, band| Power {
        left: sum.left + band.left,
        right: sum.right + band.right,
        mid: sum.mid + band.mid,
    })
}

fn kept(sound: &Sound, bands: Range<usize>) -> Option<f64> {
    together(&sound.bands[bands]).fold_kept()
}

/// For each octave above the low end the stretch in which it loses most, where it is heard at all.
pub(crate) fn cancels(stretches: &Stretches<'_>, gate_power: f64, rate: Hertz) -> Vec<FallsAway> {
    let mut worst: [Option<(f64, &[&Cell])>; OCTAVES] = [None; OCTAVES];
    for row in stretches.rows() {
        let Some(sound) = gated(row, gate_power) else { continue };
        let Some(loudness) = sound.weighted.loudness(Channels::Stereo) else { continue };
        for (octave, worst) in worst.iter_mut().enumerate() {
            let power = together(&sound.bands[octave_bands(octave)]);
            let is_heard = power.left + power.right > kept_of(loudness.0 + HEARD_DB);
            let Some(kept) = power.fold_kept().filter(|_| is_heard) else { continue };
            if worst.is_none_or(|(least, _)| kept < least) {
                *worst = Some((kept, row));
            }
        }
    }
    let told = worst.into_iter().enumerate().filter_map(|(octave, worst)| {
        let (kept, row) = worst?;
        let bands = octave_bands(octave);
        Some(FallsAway {
            bands_hz: [NOMINAL_HZ[bands.start], NOMINAL_HZ[bands.end - 1]],
            fold: Fold { kept: Some(kept) },
            at_s: Some(start_s(row.first()?, rate).max(0.0)),
            until_s: Some(row.last()?.place.song_s),
        })
    });
    told.collect()
}

fn octave_bands(octave: usize) -> Range<usize> {
    let first = LOW_END.end + octave * BANDS_IN_OCTAVE;
    first..first + BANDS_IN_OCTAVE
}

/// The low end of a song, of whose gated sound this is the mean, and which falls into these stretches of 10 s.
pub(crate) fn low_end(
    whole: &Sound,
    stretches: &Stretches<'_>,
    gate_power: f64,
    rate: Hertz,
) -> Option<LowEnd> {
    let low = together(&whole.bands[LOW_END]);
    let above = together(&whole.bands[LOW_END.end..]);
    let fold = Fold { kept: Some(low.fold_kept()?) };
    let low_power = low.left + low.right;
    let place = Along { stretches, gate_power, rate }.place();
    let sound = place.as_ref().map_or(*whole, |place| place.sound);
    let bands = named(&sound);
    Some(LowEnd {
        fold,
        above_fold: Fold { kept: above.fold_kept() },
        power_share: low_power / (low_power + above.left + above.right),
        falls: FallsAway {
            bands_hz: [NOMINAL_HZ[bands.start], NOMINAL_HZ[bands.end - 1]],
            fold: Fold { kept: kept(&sound, bands) },
            at_s: place.as_ref().map(|place| place.at_s),
            until_s: place.and_then(|place| place.until_s),
        },
    })
}

/// The bands to name: those in a row that fall away, about the low one that loses most power; the low end as far as it
/// is heard, where none does by itself.
fn named(sound: &Sound) -> Range<usize> {
    let stereo = |band: usize| sound.bands[band].left + sound.bands[band].right;
    let loudest = LOW_END.map(stereo).fold(0.0, f64::max);
    let is_heard = |band: usize| stereo(band) >= loudest * kept_of(NAMED_DB) && stereo(band) > 0.0;
    let falls = |band: usize| {
        let limit = kept_of(falls_below_db(NOMINAL_HZ[band]));
        is_heard(band) && sound.bands[band].fold_kept().is_some_and(|kept| kept < limit)
    };
    let lost = |band: usize| stereo(band) - 2.0 * sound.bands[band].mid;
    let worst = LOW_END.filter(|band| falls(*band)).max_by(|a, b| lost(*a).total_cmp(&lost(*b)));
    let Some(worst) = worst else {
        let lowest = LOW_END.clone().find(|band| is_heard(*band)).unwrap_or(LOW_END.start);
        let highest = LOW_END.rev().find(|band| is_heard(*band)).unwrap_or(LOW_END.end - 1);
        return lowest..highest + 1;
    };
    let below = (0..worst).rev().take_while(|band| falls(*band)).count();
    let above = (worst + 1..BAND_COUNT).take_while(|band| falls(*band)).count();
    worst - below..worst + above + 1
}

/// A long stretch in which the low end falls away, and what it sounds like.
struct Place {
    at_s: f64,
    until_s: Option<f64>,
    sound: Sound,
}

/// The song in stretches of 10 s.
struct Along<'a> {
    stretches: &'a Stretches<'a>,
    gate_power: f64,
    rate: Hertz,
}

impl Along<'_> {
    /// The first long stretch in which the low end falls away, when what was before it did not, and it is plainly
    /// another sound.
    fn place(&self) -> Option<Place> {
        let cells = &self.stretches.cells;
        let windows: Vec<(usize, usize, f64)> = self
            .stretches
            .spans
            .iter()
            .filter_map(|span| {
                let sound = gated(&cells[span.clone()], self.gate_power)?;
                Some((*span.start(), *span.end(), kept(&sound, LOW_END)?))
            })
            .collect();
        let limit = kept_of(LOW_END_FALLS_DB);
        let falls = |window: &(usize, usize, f64)| window.2 < limit;
        let mut from = 0;
        while let Some(first) = windows[from..].iter().position(falls).map(|ahead| from + ahead) {
            let past = windows[first..].iter().position(|w| !falls(w)).map_or(windows.len(), |n| first + n);
            // A window falls as soon as enough of it does: the border lies where before and after differ most.
            let start = steepest(&windows, windows[first].0..windows[first].1 + 2, 1.0);
            let end = windows.get(past).and_then(|next| steepest(&windows, next.0..next.1 + 2, -1.0));
            let last = end.unwrap_or(windows[past - 1].1 + 1);
            if self.seconds(start.unwrap_or(windows[first].0), last) >= LONG_S {
                return self.told(start?, last, end);
            }
            from = past;
        }
        None
    }

    fn told(&self, start: usize, last: usize, end: Option<usize>) -> Option<Place> {
        let cells = &self.stretches.cells;
        let [before, sound] =
            [&cells[..start], &cells[start..last]].map(|cells| above(cells, self.gate_power));
        let (before_kept, kept) = (kept(&before, LOW_END)?, kept(&sound, LOW_END)?);
        let limit = kept_of(LOW_END_FALLS_DB);
        let is_plain =
            before_kept >= limit && kept < limit * before_kept && before.frames >= BEFORE_S * self.rate.0;
        is_plain.then(|| Place {
            at_s: start_s(cells[start], self.rate).max(0.0),
            until_s: end.map(|end| start_s(cells[end], self.rate)),
            sound: sound.mean(),
        })
    }

    /// Length of a range of cells; nothing when it ends before it begins.
    fn seconds(&self, from: usize, to: usize) -> f64 {
        let cells = self.stretches.cells.get(from..to).unwrap_or_default();
        cells.iter().map(|cell| f64::from(cell.frames)).sum::<f64>() / self.rate.0
    }
}

/// Of these cells the one at whose start mono begins to lose most (1), or least (−1): the window up to there against the
/// one from there on. `None` where nowhere both are known, and where it may as well lie further back, where they are not.
fn steepest(windows: &[(usize, usize, f64)], cells: Range<usize>, sign: f64) -> Option<usize> {
    let drop = |cell: usize| {
        let before = windows.iter().find(|window| window.1 + 1 == cell)?;
        let after = windows.iter().find(|window| window.0 == cell)?;
        Some(sign * (before.2 - after.2))
    };
    let drops = || cells.clone().filter_map(|cell| Some((cell, drop(cell)?)));
    let (steepest, _) = drops().max_by(|a, b| a.1.total_cmp(&b.1))?;
    let is_cut_off = drops().next().is_some_and(|(first, _)| first == steepest && first > cells.start);
    (!is_cut_off).then_some(steepest)
}

#[cfg(test)]
mod tests;
