//! From where on a new print was changed: places at which bands, or the whole, come up or go down beside the rest of the song.

use candlemark_analysis::Cell;
use candlemark_analysis::bands::{BAND_COUNT, NOMINAL_HZ};
use serde::Serialize;

use super::{MOVED_DB, SectionMoved, moved_by};
use crate::drift::FLOOR_DB;
use crate::statistics::{mean, median};
use crate::words::{bands, clock};

/// What is changed, and the rest, last so long at least, in seconds (ours): less is a fill or an effect.
const LEAST_S: usize = 10;
/// A change is told where it is so many times what the difference of the prints strays by itself on either side (ours): a
/// limiter follows the music, and turns nothing.
const STRAY: f64 = 2.0;
/// A band alone is told from so much on, in dB (ours): an equaliser moves its neighbours too, and one alone is sooner a coder's.
const ALONE_DB: f64 = 2.0;
/// A change that ends again is told as one only where that fits better by so much than one that goes on (ours).
const BETTER: f64 = 1.05;
/// A second of a band this far under its loudest tells nothing, in dB (ours).
const QUIET_DB: f64 = 50.0;
/// The bands in which a change is looked for, by their nominal frequencies, as the window shows them: beyond, coders leave
/// noise, and nobody turns anything.
const LOOKED_AT_HZ: std::ops::RangeInclusive<f64> = 25.0..=16_000.0;
/// Changes of neighbouring bands that begin, or end, no further apart are one change, in seconds (ours).
const TOGETHER_S: f64 = 3.0;
/// So many beginnings and ends of a change are tried at most (ours): a quarter of an hour, second by second.
const MOST_TRIED: usize = 900;
/// Fewer bands have no middle (ours).
const FEWEST_BANDS: usize = 5;

/// A change that begins somewhere in the song.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Turn {
    /// Where it begins in the old print, in seconds.
    pub at_s: f64,
    /// Where it ends. `None` where it lasts to the song's end.
    pub until_s: Option<f64>,
    /// The nominal frequency of the lowest and of the highest band, in hertz. `None` where it is the whole.
    pub bands_hz: Option<[f64; 2]>,
    /// By how much that has come up beside the rest of the song, in dB: bands beside the middle of all bands.
    pub moved_db: f64,
}

/// A second of both prints.
#[derive(Clone, Copy)]
pub(super) struct Second<'a> {
    /// Its number, from where both begin.
    pub(super) number: usize,
    /// Where it is in the old print, in seconds.
    pub(super) at_s: f64,
    pub(super) old: &'a Cell,
    pub(super) new: &'a Cell,
}

impl Turn {
    /// From where on, what, and by how much.
    pub fn words(&self) -> String {
        let from = clock(self.at_s);
        let what = self.bands_hz.map_or_else(|| "it".to_owned(), bands);
        let moved = moved_by(self.moved_db);
        match self.until_s {
            None => format!("From {from} on, {what} has {moved} against what lies before."),
            Some(until_s) => {
                format!("From {from} to {}, {what} has {moved} against the rest.", clock(until_s))
            }
        }
    }

    /// Whether a section lies in it. `None` where only a part of it does.
    pub(super) fn holds(&self, section: &SectionMoved) -> Option<bool> {
        let until_s = self.until_s.unwrap_or(f64::INFINITY);
        if section.at_s + 1.0 >= self.at_s && section.until_s <= until_s + 1.0 {
            Some(true)
        } else {
            (section.until_s <= self.at_s + 1.0 || section.at_s + 1.0 >= until_s).then_some(false)
        }
    }

    fn is_with(&self, other: &Self) -> bool {
        let ends = match (self.until_s, other.until_s) {
            (None, None) => true,
            (Some(one), Some(other)) => (one - other).abs() <= TOGETHER_S,
            _ => false,
        };
        ends && (self.at_s - other.at_s).abs() <= TOGETHER_S
            && self.moved_db.signum() == other.moved_db.signum()
    }
}

/// All there are: of the whole first, and then of bands in a row that changed together, those that changed most first.
pub(super) fn turns(seconds: &[Second<'_>]) -> Vec<Turn> {
    let moved = moved_db(seconds);
    let middle: Vec<Option<f64>> = moved
        .iter()
        .map(|bands| {
            let mut told: Vec<f64> = bands.iter().flatten().copied().collect();
            median(&mut told).filter(|_| told.len() >= FEWEST_BANDS)
        })
        .collect();
    let whole = turn_of(seconds, &middle, None);
    let of_band = |band: usize| {
        let beside = moved.iter().zip(&middle).map(|(bands, middle)| Some(bands[band]? - (*middle)?));
        turn_of(seconds, &beside.collect::<Vec<_>>(), Some([NOMINAL_HZ[band]; 2]))
    };
    let each: Vec<Option<Turn>> = (0..BAND_COUNT).map(of_band).collect();
    let are_one = |one: &Option<Turn>, next: &Option<Turn>| {
        one.as_ref().zip(next.as_ref()).is_some_and(|(one, next)| one.is_with(next))
    };
    let rows = each.chunk_by(are_one).filter_map(|row| {
        let row: Vec<Turn> = row.iter().flatten().copied().collect();
        let most = row.iter().max_by(|a, b| a.moved_db.abs().total_cmp(&b.moved_db.abs()))?;
        if row.len() == 1 && most.moved_db.abs() < ALONE_DB {
            return None;
        }
        let bands_hz = Some([row.first()?.bands_hz?[0], row.last()?.bands_hz?[1]]);
        let moved_db = mean(row.iter().map(|turn| turn.moved_db))?;
        Some(Turn { bands_hz, moved_db, ..*most })
    });
    let mut rows: Vec<Turn> = rows.collect();
    rows.sort_by(|a, b| b.moved_db.abs().total_cmp(&a.moved_db.abs()));
    whole.into_iter().chain(rows).collect()
}

fn power(cell: &Cell, band: usize) -> f64 {
    f64::from(cell.bands[band].left) + f64::from(cell.bands[band].right)
}

/// The least power of each band that tells something; infinite where none does.
pub(super) fn least_power(cells: &[&Cell]) -> [f64; BAND_COUNT] {
    let whole: f64 = cells.iter().map(|cell| cell.weighted.left + cell.weighted.right).sum();
    std::array::from_fn(|band| {
        let powers = || cells.iter().map(|cell| power(cell, band));
        let is_heard = powers().sum::<f64>() > whole * 10f64.powf(-FLOOR_DB / 10.0);
        let is_looked_at = LOOKED_AT_HZ.contains(&NOMINAL_HZ[band]);
        if is_heard && is_looked_at {
            powers().fold(0.0, f64::max) * 10f64.powf(-QUIET_DB / 10.0)
        } else {
            f64::INFINITY
        }
    })
}

/// New over old in each band of each second, in dB. `None` where one of them is next to nothing.
fn moved_db(seconds: &[Second<'_>]) -> Vec<[Option<f64>; BAND_COUNT]> {
    let (olds, news): (Vec<&Cell>, Vec<&Cell>) =
        seconds.iter().map(|second| (second.old, second.new)).unzip();
    let (least_old, least_new) = (least_power(&olds), least_power(&news));
    let moved = |second: &Second<'_>| {
        std::array::from_fn(|band| {
            let (old, new) = (power(second.old, band), power(second.new, band));
            (old > least_old[band] && new > least_new[band]).then(|| 10.0 * (new / old).log10())
        })
    };
    seconds.iter().map(moved).collect()
}

/// A stretch that differs from the rest, by the numbers of its first second and of the one after its last.
#[derive(Clone, Copy)]
struct Stretch {
    from: usize,
    to: usize,
    /// How far its mean lies over the rest's.
    over: f64,
    /// By how much it makes the squares of what is left over less.
    gain: f64,
}

/// The change that fits a difference of the prints best: the stretch whose mean is another than the rest's (least squares).
/// `None` where that is small, or no more than it strays by itself.
fn turn_of(seconds: &[Second<'_>], moved: &[Option<f64>], bands_hz: Option<[f64; 2]>) -> Option<Turn> {
    // Counts, sums and squares before each second.
    let mut sums = vec![(0usize, 0.0f64, 0.0f64)];
    sums.extend(moved.iter().scan((0, 0.0, 0.0), |sum, db| {
        if let Some(db) = db {
            *sum = (sum.0 + 1, sum.1 + db, sum.2 + db * db);
        }
        Some(*sum)
    }));
    let length = moved.len();
    let (count, sum, squares) = sums[length];
    let stretch = &|from: usize, to: usize| {
        let inside = sums[to].0 - sums[from].0;
        let outside = count - inside;
        if inside < LEAST_S || outside < LEAST_S {
            return None;
        }
        let inside_sum = sums[to].1 - sums[from].1;
        let (inside, outside) = (inside as f64, outside as f64);
        let over = inside_sum / inside - (sum - inside_sum) / outside;
        Some(Stretch { from, to, over, gain: inside * outside / count as f64 * over * over })
    };
    let most = |one: &Stretch, other: &Stretch| one.gain.total_cmp(&other.gain);
    let goes_on = (1..length).filter_map(|from| stretch(from, length)).max_by(most);
    // What lies before and behind a stretch is long enough to be told from it. In hours of sound not every second is tried.
    let step = length.div_ceil(MOST_TRIED).max(1);
    let last = length.saturating_sub(LEAST_S);
    let ends = (LEAST_S..length)
        .step_by(step)
        .flat_map(|from| (from + LEAST_S..=last).step_by(step).filter_map(move |to| stretch(from, to)));
    let ends = ends.max_by(most);
    let best = match (goes_on, ends) {
        (Some(goes_on), Some(ends)) if ends.gain > BETTER * goes_on.gain => ends,
        (goes_on, ends) => goes_on.or(ends)?,
    };
    let strays = |count: usize, sum: f64, squares: f64| {
        let mean = sum / count as f64;
        (squares / count as f64 - mean * mean).max(0.0).sqrt()
    };
    let [from, to] = [sums[best.from], sums[best.to]];
    let (inside, inside_sum, inside_squares) = (to.0 - from.0, to.1 - from.1, to.2 - from.2);
    let strays = strays(inside, inside_sum, inside_squares).max(strays(
        count - inside,
        sum - inside_sum,
        squares - inside_squares,
    ));
    let is_told = best.over.abs() >= MOVED_DB && best.over.abs() >= STRAY * strays;
    is_told.then(|| Turn {
        at_s: seconds[best.from].at_s,
        until_s: (best.to < length).then(|| seconds[best.to].at_s),
        bands_hz,
        moved_db: best.over,
    })
}

#[cfg(test)]
mod tests;
