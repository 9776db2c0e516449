//! Drift: how far the balance has moved since the ears were fresh, like for like.
//!
//! Each cell of the song is put beside itself: what its first passes were, and what its latest are. So a chorus that is looped
//! is not taken for a mix that has got brighter.

mod drifted;
pub(crate) mod words;

use std::collections::{BTreeMap, VecDeque};

use candlemark_analysis::bands::{BAND_COUNT, NOMINAL_HZ};
use candlemark_analysis::{Cell, Db, Hertz, Power};
use serde::{Deserialize, Serialize};

use crate::song_cells::{CellKey, key_of};
use crate::statistics::{mean, median};

pub use drifted::Drifted;

/// So many passes of a cell are taken together, by their median: one alone may be a try (common practice, no source).
const PASSES: usize = 3;

/// So much of the song must have been heard both then and now (common practice, no source), in seconds.
const COMMON_S: f64 = 20.0;

/// A band further under the K-weighted sound than this tells nothing (common practice, no source).
pub(crate) const FLOOR_DB: f64 = 80.0;

/// The bands of which the brighter or duller figure is the mean difference (ours), by their nominal frequencies.
const UPPER_HZ: std::ops::RangeInclusive<f64> = 2000.0..=16_000.0;
const LOWER_HZ: std::ops::RangeInclusive<f64> = 125.0..=1000.0;

/// So many cells are looked back on to tell a song whose bars have moved from one that is worked on (ours).
const LOOKED_AT: usize = 32;
/// In a song that is worked on, cells change much alike. Where their changes lie further than this from the middle one, in the
/// mean over cells and bands, they hold other parts of the song than before: bars have been put in, or taken out (ours).
const SCATTER_DB: f64 = 2.0;

/// How far the balance has moved.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Moved {
    /// By how much each band has come up beside the whole, from low to high, in dB. `None` where there is too little of it.
    pub bands_db: Vec<Option<Db>>,
    /// How much brighter it has got (duller is below 0), in dB: the mean of the bands from 2 to 16 kHz less that of those from
    /// 125 Hz to 1 kHz.
    pub brighter_db: Option<Db>,
    /// How much of the song was heard both then and now, in seconds.
    pub common_s: f64,
}

/// How far the balance has moved, from two moments on. `None` where that can't be told.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Drifts {
    /// Since the last rest, where there has been one.
    pub since_rest: Option<Moved>,
    /// Since the song's first passes: a rest does not erase what was done before it.
    pub since_start: Option<Moved>,
}

impl Drifts {
    /// How far it has moved since the last rest, where that can be told, else since the first passes; and whether it is the
    /// rest.
    pub(crate) fn latest(&self) -> Option<(&Moved, bool)> {
        let since_rest = self.since_rest.as_ref().map(|moved| (moved, true));
        since_rest.or_else(|| Some((self.since_start.as_ref()?, false)))
    }
}

/// A song's passes, cell by cell.
#[derive(Default)]
pub(crate) struct Drift {
    cells: BTreeMap<CellKey, History>,
    /// The ears have rested once.
    rested: bool,
    /// Of the cells at known places that came last, whether each was another sound than before.
    strange: VecDeque<bool>,
}

/// What a pass of a cell measured.
#[derive(Clone, Copy)]
struct Heard {
    frames: f64,
    weighted: f32,
    bands: [f32; BAND_COUNT],
}

/// The passes of one cell.
#[derive(Clone, Default)]
struct History {
    /// The first ones since the start, and since the last rest, and how many there have been.
    since_start: First,
    since_rest: First,
    /// The last ones, newest last.
    latest: Vec<Heard>,
}

#[derive(Clone, Default)]
struct First {
    passes: Vec<Heard>,
    count: usize,
}

impl Drift {
    /// Takes in a pass of a cell. `eligible` means that it is the song's and not aside; else it was told from the song
    /// by its sound alone.
    pub(crate) fn take(&mut self, cell: &Cell, eligible: bool) {
        // An offline render is no listening, and pre-roll no playing.
        if cell.place.offline || cell.place.preroll || !cell.is_filled() {
            return;
        }
        let total = |power: Power| power.left + power.right;
        let heard = Heard {
            frames: f64::from(cell.frames),
            weighted: total(cell.weighted) as f32,
            bands: cell.bands.map(|band| band.left + band.right),
        };
        let key = key_of(cell);
        if self.cells.contains_key(&key) {
            if self.strange.len() == LOOKED_AT {
                self.strange.pop_front();
            }
            self.strange.push_back(!eligible);
        }
        if eligible {
            self.cells.entry(key).or_default().take(heard);
        }
    }

    /// The ears are fresh: what comes from now on is the first since the rest.
    pub(crate) fn rest(&mut self) {
        self.rested = true;
        for history in self.cells.values_mut() {
            history.since_rest = First::default();
        }
    }

    /// Since the first passes of the song. `None` where it can't be told: too little has been heard twice, or most of what
    /// came last is not what was there before, as where bars have been put in.
    pub(crate) fn since_start(&self, rate: Hertz) -> Option<Moved> {
        self.since(rate, |history| &history.since_start)
    }

    /// The same since the last rest. `None` where there has been none.
    pub(crate) fn since_rest(&self, rate: Hertz) -> Option<Moved> {
        self.rested.then(|| self.since(rate, |history| &history.since_rest)).flatten()
    }

    fn since(&self, rate: Hertz, first: impl Fn(&History) -> &First) -> Option<Moved> {
        let strange = self.strange.iter().filter(|strange| **strange).count();
        if 2 * strange > LOOKED_AT {
            return None;
        }
        let cells: Vec<(Heard, Heard)> =
            self.cells.values().filter_map(|history| history.both(first(history))).collect();
        let (mut then, mut now) = (Sum::default(), Sum::default());
        for (before, after) in &cells {
            then.add(before);
            now.add(after);
        }
        let common_s = then.frames / rate.0;
        let is_heard = then.heard_in(&now);
        let can_tell = common_s >= COMMON_S && scatter_db(&cells, &is_heard) <= SCATTER_DB;
        can_tell.then(|| moved(&then, &now, &is_heard, common_s))
    }
}

/// How far cells have changed apart from each other: the mean distance from the middle change, over the bands that are heard.
fn scatter_db(cells: &[(Heard, Heard)], is_heard: &[bool; BAND_COUNT]) -> f64 {
    let changes: Vec<[f32; BAND_COUNT]> =
        cells.iter().map(|(before, after)| before.change_to(after)).collect();
    let bands = (0..BAND_COUNT).filter(|band| is_heard[*band]).filter_map(|band| {
        let mut changes: Vec<f64> = changes.iter().map(|bands| bands[band].into()).collect();
        let middle = median(&mut changes)?;
        mean(changes.iter().map(|change| (change - middle).abs()))
    });
    mean(bands).unwrap_or(0.0)
}

impl Heard {
    /// By how many dB each band is more in another pass; bands that are next to nothing have not changed.
    fn change_to(&self, after: &Self) -> [f32; BAND_COUNT] {
        let floor = |heard: &Self| heard.weighted * 10f32.powf(-FLOOR_DB as f32 / 10.0) + f32::MIN_POSITIVE;
        std::array::from_fn(|band| {
            let (before, after) = (self.bands[band].max(floor(self)), after.bands[band].max(floor(after)));
            10.0 * (after / before).log10()
        })
    }
}

impl History {
    fn take(&mut self, heard: Heard) {
        for first in [&mut self.since_start, &mut self.since_rest] {
            first.count += 1;
            if first.passes.len() < PASSES {
                first.passes.push(heard);
            }
        }
        if self.latest.len() == PASSES {
            self.latest.remove(0);
        }
        self.latest.push(heard);
    }

    /// What it was and what it is: the medians of as many of the first and the latest passes as there are without taking one
    /// for both, up to three. `None` of a single pass.
    fn both(&self, first: &First) -> Option<(Heard, Heard)> {
        let before = first.count.div_ceil(2).min(PASSES);
        let after = (first.count / 2).min(PASSES);
        let latest = self.latest.get(self.latest.len().checked_sub(after)?..)?;
        Some((middle(first.passes.get(..before)?)?, middle(latest)?))
    }
}

/// The median of passes, value by value.
fn middle(passes: &[Heard]) -> Option<Heard> {
    let of = |value: &dyn Fn(&Heard) -> f64| median(&mut passes.iter().map(value).collect::<Vec<f64>>());
    let mut bands = [0f32; BAND_COUNT];
    for (band, power) in bands.iter_mut().enumerate() {
        *power = of(&|heard| heard.bands[band].into())? as f32;
    }
    Some(Heard {
        frames: of(&|heard| heard.frames)?,
        weighted: of(&|heard| heard.weighted.into())? as f32,
        bands,
    })
}

/// Energies over cells.
#[derive(Default)]
struct Sum {
    frames: f64,
    weighted: f64,
    bands: [f64; BAND_COUNT],
}

impl Sum {
    fn add(&mut self, heard: &Heard) {
        self.frames += heard.frames;
        self.weighted += heard.frames * f64::from(heard.weighted);
        for (sum, power) in self.bands.iter_mut().zip(heard.bands) {
            *sum += heard.frames * f64::from(power);
        }
    }

    /// The bands that are more than next to nothing in both.
    fn heard_in(&self, other: &Self) -> [bool; BAND_COUNT] {
        let floor = 10f64.powf(-FLOOR_DB / 10.0);
        let is_heard = |sum: &Self, band: usize| sum.bands[band] > floor * sum.weighted;
        std::array::from_fn(|band| is_heard(self, band) && is_heard(other, band))
    }
}

fn moved(then: &Sum, now: &Sum, is_heard: &[bool; BAND_COUNT], common_s: f64) -> Moved {
    let whole = now.weighted / then.weighted;
    let bands_db: Vec<Option<Db>> = (0..BAND_COUNT)
        .map(|band| {
            let change = now.bands[band] / then.bands[band];
            is_heard[band].then(|| Db::of_power(change / whole)).flatten()
        })
        .collect();
    let moved_db = |range: &std::ops::RangeInclusive<f64>| {
        let heard = NOMINAL_HZ.iter().zip(&bands_db).filter(|(hz, _)| range.contains(hz));
        mean(heard.filter_map(|(_, moved)| moved.map(|db| db.0)))
    };
    let brighter_db = moved_db(&UPPER_HZ).zip(moved_db(&LOWER_HZ)).map(|(upper, lower)| Db(upper - lower));
    Moved { bands_db, brighter_db, common_s }
}

#[cfg(test)]
mod tests;
