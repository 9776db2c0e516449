//! Print against print: what a new print of a song changed, section by section and band by band, at matched loudness.
//!
//! The two are laid over each other by their sound, not by their beginnings: a print is often cut otherwise.

mod cuts;
mod sides;
mod silence;
mod turns;
mod unlike;

use candlemark_analysis::bands::{BAND_COUNT, NOMINAL_HZ};
use candlemark_analysis::{Cell, Channels};
use serde::Serialize;

use crate::octave_groups::OctaveGroup;
use crate::statistics::{mean, median};
use crate::stretches::Sound;
use crate::words::{SAME_DB, bands, clock, number};

pub use cuts::{Cut, cuts};
pub use sides::Sides;
pub use silence::Silent;
use turns::Second;
pub use turns::Turn;
pub use unlike::{Unlike, unlike};

/// Step of the envelopes by which prints are laid over each other, in seconds (ours): of cells of 1 s it is a hundredth.
pub const STEP_S: f64 = 0.01;
/// They may begin so far apart, in seconds (ours); silence before them is not counted.
const FURTHEST_S: f64 = 30.0;
/// They must share so much, in seconds, as drift must (common practice, no source).
pub const LEAST_COMMON_S: f64 = 20.0;
/// Correlation of the envelopes from which on it is one song (ours): of unlike songs it was 0.14 at most, nine pairs of them.
const ALIKE: f64 = 0.4;
/// Quieter than this under the loudest is silence to an envelope, in dB (ours).
const ENVELOPE_DB: f64 = 60.0;
/// Of two places the nearer is taken unless the further one's correlation is greater by this much for each second (ours).
const NEARER: f64 = 1e-4;
/// What a level is on average over so much about it is taken from it, in seconds (ours): a beat or two.
const AROUND_S: f64 = 1.0;
/// Length of a section, in seconds (ours): a part of a song, as people speak of it.
const SECTION_S: usize = 30;
/// A band that moved by less is as it was, in dB (ours).
const MOVED_DB: f64 = 1.0;
/// So many sentences about sections at most.
const MOST: usize = 3;

/// How far the new print's beginning lies before the old one's, in envelope steps, and how alike they are.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Overlay {
    /// The old print's sound at a place is the new one's so many seconds later; under 0 it is earlier.
    pub later_s: f64,
    /// Correlation of the two envelopes there, −1 to 1.
    pub correlation: f64,
}

/// Levels over the floor, less what they are on average over the second about them: the fades and the build of songs are alike,
/// their beats and notes are not.
fn levels(step_power: &[f64]) -> Vec<f64> {
    let floor = silence::floor_of(step_power.iter().copied());
    let levels: Vec<f64> =
        step_power.iter().map(|power| 10.0 * power.max(floor).max(1e-30).log10()).collect();
    let mut sums = vec![0.0];
    sums.extend(levels.iter().scan(0.0, |sum, level| {
        *sum += level;
        Some(*sum)
    }));
    let half = (0.5 * AROUND_S / STEP_S) as usize;
    let less_around = |(at, level): (usize, &f64)| {
        let (from, to) = (at.saturating_sub(half), (at + half + 1).min(levels.len()));
        level - (sums[to] - sums[from]) / (to - from) as f64
    };
    levels.iter().enumerate().map(less_around).collect()
}

/// Correlation of two envelopes of one length. `None` where one of them does not move.
fn correlation_of(old: &[f64], new: &[f64]) -> Option<f64> {
    let (mut product, mut old_square, mut new_square) = (0.0, 0.0, 0.0);
    for (a, b) in old.iter().zip(new) {
        product += a * b;
        old_square += a * a;
        new_square += b * b;
    }
    let norm = (old_square * new_square).sqrt();
    (norm > 0.0).then(|| product / norm)
}

/// Lays two prints over each other by the powers of their steps of [`STEP_S`]. `None` when they share too little, or are not
/// one song.
pub fn lay_over(old_power: &[f64], new_power: &[f64]) -> Option<Overlay> {
    let (old, new) = (levels(old_power), levels(new_power));
    let least = (LEAST_COMMON_S / STEP_S) as usize;
    let furthest = (FURTHEST_S / STEP_S) as i64;
    let at = |later: i64| {
        let (from_old, from_new) = ((-later).max(0) as usize, later.max(0) as usize);
        let (old, new) = (old.get(from_old..)?, new.get(from_new..)?);
        let common = old.len().min(new.len());
        if common < least {
            return None;
        }
        let correlation = correlation_of(&old[..common], &new[..common])?;
        Some(Overlay { later_s: later as f64 * STEP_S, correlation })
    };
    // Silence put before a song is no part of it: without it they begin as far apart as their first sounds.
    let first_sound = |power: &[f64]| {
        let floor = silence::floor_of(power.iter().copied());
        power.iter().position(|step| *step > floor).map_or(0, |step| step as i64)
    };
    let apart = first_sound(new_power) - first_sound(old_power);
    let counted = -furthest..=furthest;
    let beyond = (apart - furthest..=apart + furthest).filter(|later| !counted.contains(later));
    let all = counted.clone().chain(beyond).filter_map(at);
    // Of a song made of loops many places fit alike: then the nearest is meant.
    let fit = |overlay: &Overlay| overlay.correlation - NEARER * overlay.later_s.abs();
    let best = all.max_by(|a, b| fit(a).total_cmp(&fit(b)))?;
    (best.correlation >= ALIKE).then_some(best)
}

/// A band of the new print beside the old one's.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct BandMoved {
    /// Nominal frequency.
    pub hz: f64,
    /// New over old at matched loudness, in dB. `None` where one of them has nothing there.
    pub moved_db: Option<f64>,
}

/// A section of the new print beside the old one's.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct SectionMoved {
    /// Where it begins in the old print, in seconds.
    pub at_s: f64,
    /// Where it ends.
    pub until_s: f64,
    /// K-weighted loudness, new over old, in LU. `None` where one is silent.
    pub loudness_lu: Option<f64>,
    /// The five octave groups, new over old at this section's matched loudness, in dB.
    pub groups_db: [Option<f64>; 5],
}

/// What a new print changed.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Changed {
    /// How much of the song both have, in seconds.
    pub common_s: f64,
    /// K-weighted loudness over that, new over old, in LU. `None` where one is silent.
    pub loudness_lu: Option<f64>,
    /// Every third octave that both carry.
    pub bands: Vec<BandMoved>,
    /// Sections of half a minute, in the old print's order; what both have not in common is left out of them.
    pub sections: Vec<SectionMoved>,
    /// From where on it was changed: what turned in the middle of the song, of which the figures of the whole tell the mean.
    pub turns: Vec<Turn>,
    /// What was cut or put in near the song's ends.
    pub cuts: Vec<Cut>,
    /// Where else the prints are not alike.
    pub unlike: Vec<Unlike>,
    /// Where one of them is silent and the other is not.
    pub silent: Vec<Silent>,
    /// What became of left and right.
    pub sides: Sides,
}

/// Which way something went, and how far in dB, as in "it has come up by 2.0 dB".
fn moved_by(db: f64) -> String {
    let way = if db > 0.0 { "come up" } else { "gone down" };
    format!("{way} by {} dB", number(db.abs(), 1))
}

fn over_db(old_power: f64, new_power: f64) -> Option<f64> {
    (old_power > 0.0 && new_power > 0.0).then(|| 10.0 * (new_power / old_power).log10())
}

/// A stretch of both prints.
struct Both {
    old: Sound,
    new: Sound,
    /// New over old.
    loudness_lu: Option<f64>,
}

impl Both {
    fn of(seconds: &[Second<'_>]) -> Self {
        let old = Sound::of(seconds.iter().map(|second| second.old)).mean();
        let new = Sound::of(seconds.iter().map(|second| second.new)).mean();
        let [old_power, new_power] = [&old, &new].map(|sound| sound.weighted.total(Channels::Stereo));
        Self { old, new, loudness_lu: over_db(old_power, new_power) }
    }

    /// Some bands, new over old at matched loudness, in dB.
    fn moved_db(&self, is_meant: impl Fn(usize) -> bool) -> Option<f64> {
        let power = |sound: &Sound| -> f64 {
            let meant = sound.bands.iter().enumerate().filter(|(band, _)| is_meant(*band));
            meant.map(|(_, power)| power.left + power.right).sum()
        };
        Some(over_db(power(&self.old), power(&self.new))? - self.loudness_lu?)
    }
}

impl Changed {
    /// Puts cells of 1 s beside each other, the first of each at the same place in the song. `start_s` is that place in the
    /// old print, in seconds; what is `unlike` there, what the `cuts` leave out, and where one alone is silent, is left out.
    pub fn new(old: &[Cell], new: &[Cell], start_s: f64, cuts: Vec<Cut>, unlike: Vec<Unlike>) -> Self {
        let is_unlike = |second: usize| {
            let from_s = start_s + second as f64;
            unlike.iter().any(|there| there.at_s < from_s + 1.0 && there.until_s > from_s)
                || cuts.iter().any(|cut| cut.takes(from_s, from_s + 1.0))
        };
        let silent = silence::silent(old, new, start_s, is_unlike);
        // The seconds beside it are silent in part.
        let is_silent = |second: usize| {
            let from_s = start_s + second as f64;
            silent.iter().any(|there| there.at_s <= from_s + 1.0 && there.until_s >= from_s)
        };
        let second = |(number, (old, new))| Second { number, at_s: start_s + number as f64, old, new };
        // The last cell of a file is shorter.
        let is_told = |second: &Second<'_>| {
            let is_left_out = is_unlike(second.number) || is_silent(second.number);
            second.old.is_filled() && second.new.is_filled() && !is_left_out
        };
        let seconds: Vec<Second<'_>> = old.iter().zip(new).enumerate().map(second).filter(is_told).collect();
        let whole = Both::of(&seconds);
        let moved =
            |band: usize| BandMoved { hz: NOMINAL_HZ[band], moved_db: whole.moved_db(|other| other == band) };
        let section = |seconds: &[Second<'_>]| {
            let both = Both::of(seconds);
            let [from, to] = [seconds[0].number, seconds[seconds.len() - 1].number + 1];
            SectionMoved {
                at_s: start_s + from as f64,
                until_s: start_s + to as f64,
                loudness_lu: both.loudness_lu,
                groups_db: OctaveGroup::ALL.map(|group| both.moved_db(|band| group.holds(NOMINAL_HZ[band]))),
            }
        };
        let is_one = |one: &Second<'_>, next: &Second<'_>| one.number / SECTION_S == next.number / SECTION_S;
        Self {
            turns: turns::turns(&seconds),
            sides: Sides::new(&seconds, [whole.old.weighted, whole.new.weighted]),
            common_s: seconds.len() as f64,
            loudness_lu: whole.loudness_lu,
            sections: seconds.chunk_by(is_one).map(section).collect(),
            cuts,
            unlike,
            silent,
            bands: (0..BAND_COUNT).map(moved).filter(|band| band.moved_db.is_some()).collect(),
        }
    }

    /// Whether enough is left of what they share for it to be one song. Where too little is, they lay over each other by
    /// chance, and nothing can be said.
    pub fn is_enough(&self) -> bool {
        self.common_s >= LEAST_COMMON_S
    }

    /// What there is to say of it: of the whole, of bands in a row that moved alike, and of the sections that moved most.
    pub fn words(&self) -> Vec<String> {
        let mut said: Vec<String> = self.cuts.iter().map(Cut::words).collect();
        said.extend(self.unlike.iter().take(MOST).map(Unlike::words));
        said.extend(self.longest_silent().iter().map(Silent::words));
        said.extend(self.sides.words());
        match self.loudness_lu {
            Some(lu) if lu.abs() >= SAME_DB => {
                let how = if lu > 0.0 { "louder" } else { "quieter" };
                said.push(format!("The new print is {} LU {how}.", number(lu.abs(), 1)));
            }
            Some(_) => said.push("Both prints are equally loud.".to_owned()),
            None => return vec!["One of the two is silent.".to_owned()],
        }
        let moves =
            |band: &BandMoved| band.moved_db.filter(|db| db.abs() >= MOVED_DB).map_or(0.0, f64::signum);
        let runs = self.bands.chunk_by(|a, b| moves(a) == moves(b)).filter(|run| moves(&run[0]) != 0.0);
        let before = said.len();
        for run in runs {
            let Some(mean_db) = mean(run.iter().filter_map(|band| band.moved_db)) else { continue };
            let named = bands([run[0].hz, run[run.len() - 1].hz]);
            said.push(format!("{named} has {}, at matched loudness.", moved_by(mean_db)));
        }
        if said.len() == before {
            said.push("The balance is as it was: no band moved by a decibel.".to_owned());
        }
        let of_bands = self.turns.iter().filter(|turn| turn.bands_hz.is_some());
        said.extend(self.whole_turn().into_iter().chain(of_bands.take(MOST)).map(Turn::words));
        said.extend(self.section_words());
        said
    }

    /// Where one of them alone is silent for longest, in the song's order.
    fn longest_silent(&self) -> Vec<Silent> {
        let mut silent = self.silent.clone();
        silent.sort_by(|a, b| b.length_s().total_cmp(&a.length_s()));
        silent.truncate(MOST);
        silent.sort_by(|a, b| a.at_s.total_cmp(&b.at_s));
        silent
    }

    /// Where the whole has turned.
    fn whole_turn(&self) -> Option<&Turn> {
        self.turns.iter().find(|turn| turn.bands_hz.is_none())
    }

    /// The sections that moved most against the whole, in loudness; where that has turned, against what lies on their side.
    fn section_words(&self) -> Vec<String> {
        let beside = |section: &SectionMoved| match self.whole_turn() {
            None => self.loudness_lu,
            Some(turn) => {
                let side = turn.holds(section)?;
                let there = self.sections.iter().filter(|other| turn.holds(other) == Some(side));
                median(&mut there.filter_map(|other| other.loudness_lu).collect::<Vec<_>>())
            }
        };
        let apart = |section: &SectionMoved| Some(section.loudness_lu? - beside(section)?);
        let mut told: Vec<(&SectionMoved, f64)> =
            self.sections.iter().filter_map(|section| Some((section, apart(section)?))).collect();
        told.retain(|(_, lu)| lu.abs() >= MOVED_DB);
        told.sort_by(|a, b| b.1.abs().total_cmp(&a.1.abs()));
        let sentence = |(section, lu): &(&SectionMoved, f64)| {
            let way = if *lu > 0.0 { "up" } else { "down" };
            let (from, to) = (clock(section.at_s), clock(section.until_s));
            format!("From {from} to {to} it has come {way} by {} LU against the rest.", number(lu.abs(), 1))
        };
        told.iter().take(MOST).map(sentence).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Steps whose level wanders, from a fixed rule.
    pub(super) fn steps(count: usize, seed: u64) -> Vec<f64> {
        let mut state = seed;
        let mut level = 0.0f64;
        (0..count)
            .map(|step| {
                if step % 17 == 0 {
                    // Knuth, The Art of Computer Programming, vol. 2, 3.3.4: the multiplier of MMIX.
                    state = state.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
                    level = ((state >> 33) as f64 / (1u64 << 31) as f64) * 30.0;
                }
                10f64.powf((level - 30.0) / 10.0)
            })
            .collect()
    }

    #[test]
    fn prints_are_laid_over_each_other_wherever_they_begin() {
        let song = steps(6000, 1);
        for cut in [0, 1, 235, 2900] {
            let cut_s = cut as f64 * STEP_S;
            let later = lay_over(&song[cut..], &song).unwrap();
            assert!((later.later_s - cut_s).abs() < 1e-9 && later.correlation > 0.999, "{later:?}");
            let earlier = lay_over(&song, &song[cut..]).unwrap();
            assert!((earlier.later_s + cut_s).abs() < 1e-9, "{earlier:?}");
        }
        let louder: Vec<f64> = song.iter().map(|power| power * 4.0).collect();
        assert_eq!(lay_over(&song, &louder).unwrap().later_s, 0.0);
    }

    /// 33 s of silence, before a song whose bars of 4 s are each like the last.
    #[test]
    fn silence_before_a_song_is_not_counted() {
        let bars = (0..18).map(|bar| {
            let (loop_, own) = (steps(400, 1), steps(400, 100 + bar));
            loop_.iter().zip(own).map(|(power, own)| power + own).collect::<Vec<f64>>()
        });
        let song: Vec<f64> = bars.flatten().collect();
        let late = [&vec![0.0; 3300][..], &song].concat();
        assert_eq!(lay_over(&song, &late).unwrap().later_s, 33.0);
        assert_eq!(lay_over(&late, &song).unwrap().later_s, -33.0);
    }

    #[test]
    fn songs_that_are_not_one_are_told() {
        assert_eq!(lay_over(&steps(6000, 1), &steps(6000, 2)), None);
        assert_eq!(lay_over(&steps(6000, 1), &steps(1500, 1)), None, "too little in common");
        assert_eq!(lay_over(&[], &steps(6000, 1)), None);
        assert_eq!(lay_over(&vec![0.0; 6000], &vec![0.0; 6000]), None, "silence is no song");
    }
}
