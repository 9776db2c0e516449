//! Where two prints that lie over each other are not alike after all: a section was cut, put in, or replaced.

use serde::Serialize;

use super::silence::floor_of;
use super::{Cut, Overlay, STEP_S, correlation_of, lay_over, levels};
use crate::words::{clock, number};

/// Prints are put beside each other in stretches of so many seconds (ours): a bar or two alone may be alike by chance.
const STRETCH_S: usize = 10;
/// Correlation of the envelopes under which a stretch is other music (ours): less than of whole songs, for a limiter that
/// works hard flattens the beats of a stretch.
const ALIKE_HERE: f64 = 0.2;
/// Correlation from which on a stretch is found elsewhere (ours): more than of whole songs, for of many places one fits by chance.
pub(super) const ALIKE_THERE: f64 = 0.6;
/// What is shorter is a fill or an effect, not a cut, in seconds (ours).
const LEAST_S: usize = 5;
/// A stretch that is half of one music and half of another is still alike: so much is left out beside what is not, in
/// seconds (ours).
const BESIDE_S: usize = 5;
/// What is moved by less was not cut, in seconds (ours): two steps of the envelopes.
const MOVED_S: f64 = 2.0 * STEP_S;

/// A stretch where the prints are not alike.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Unlike {
    /// Where it begins in the old print, in seconds.
    pub at_s: f64,
    /// Where it ends.
    pub until_s: f64,
    /// Where the new print has that music all the same: so many seconds later than the rest of the song has it. `None` where
    /// it has it nowhere near.
    pub moved_s: Option<f64>,
}

impl Unlike {
    /// Where in the old print it is, and what became of it.
    pub fn words(&self) -> String {
        let (from, to) = (clock(self.at_s), clock(self.until_s));
        let Some(moved_s) = self.moved_s else {
            return format!(
                "From {from} to {to} the prints are not alike: it is other music, or worked on so hard that it can’t be told. It is \
                 left out here."
            );
        };
        let way = if moved_s > 0.0 { "later" } else { "earlier" };
        format!(
            "From {from} to {to} the song lies {} s {way} in the new print than the rest of it: something was cut or put in. It \
             is left out here.",
            number(moved_s.abs(), 2)
        )
    }
}

/// Which seconds of two prints beside each other tell whether they are alike, by the powers of their seconds: not those in which
/// one of them is silent, nor those next to where one of them alone is, for a fall into silence is none of the music's beats.
fn tells(old_power: &[f64], new_power: &[f64]) -> Vec<bool> {
    let silences = [old_power, new_power].map(|power| {
        let floor = floor_of(power.iter().copied());
        power.iter().map(|second| *second <= floor).collect::<Vec<bool>>()
    });
    let [old, new] = &silences;
    let is_alone = |at: usize| old.get(at) != new.get(at);
    let is_told = |at: usize| {
        let is_beside = is_alone(at + 1) || (at > 0 && is_alone(at - 1));
        !(old[at] || new[at] || is_beside)
    };
    (0..old.len().min(new.len())).map(is_told).collect()
}

/// Every such stretch of two prints that lie over each other so, by the powers of their steps, but where `cuts` have left it out.
pub fn unlike(old_power: &[f64], new_power: &[f64], overlay: &Overlay, cuts: &[Cut]) -> Vec<Unlike> {
    let second = (1.0 / STEP_S) as usize;
    let later = (overlay.later_s / STEP_S).round() as i64;
    let (from_old, from_new) = ((-later).max(0) as usize, later.max(0) as usize);
    let (old, new) = (levels(old_power), levels(new_power));
    let (old, new) = (old.get(from_old..).unwrap_or_default(), new.get(from_new..).unwrap_or_default());
    let common = old.len().min(new.len());
    let seconds = common / second;
    let seconds_of = |power: &[f64], from: usize| -> Vec<f64> {
        power[from..from + seconds * second].chunks(second).map(|steps| steps.iter().sum()).collect()
    };
    let tells = tells(&seconds_of(old_power, from_old), &seconds_of(new_power, from_new));
    let is_unlike = |at: usize| {
        let around = at.saturating_sub(STRETCH_S / 2)..(at + STRETCH_S / 2 + 1).min(seconds);
        let told: Vec<usize> = around.filter(|at| tells[*at]).collect();
        if told.len() < STRETCH_S / 2 {
            return false;
        }
        let [old, new] = [old, new].map(|levels| {
            told.iter().flat_map(|at| &levels[at * second..(at + 1) * second]).copied().collect::<Vec<_>>()
        });
        correlation_of(&old, &new).is_some_and(|correlation| correlation < ALIKE_HERE)
    };
    // What a cut leaves out is known to lie beside other music, and so does half of a stretch beside it.
    let is_left_out = |at: usize| {
        let at_s = from_old as f64 * STEP_S + at as f64;
        let around_s = (STRETCH_S / 2 + 1) as f64;
        cuts.iter().any(|cut| cut.takes(at_s - around_s, at_s + around_s))
    };
    let told: Vec<bool> = (0..seconds).map(|at| is_unlike(at) && !is_left_out(at)).collect();
    let mut found: Vec<[usize; 2]> = Vec::new();
    let mut at = 0;
    for run in told.chunk_by(|a, b| a == b) {
        let [from, to] = [at, at + run.len()];
        at = to;
        if !run[0] || run.len() < LEAST_S {
            continue;
        }
        let [from, to] = [from.saturating_sub(BESIDE_S), (to + BESIDE_S).min(seconds)];
        match found.last_mut() {
            Some(last) if last[1] >= from => last[1] = to,
            _ => found.push([from, to]),
        }
    }
    let of_old = |step: usize| (from_old + step) as f64 * STEP_S;
    let stretch = |[from, to]: [usize; 2]| {
        let old = &old_power[from_old + from * second..from_old + to * second];
        let new = &new_power[from_new + from * second..];
        let there = lay_over(old, new).filter(|there| there.correlation >= ALIKE_THERE);
        let there = there.map(|there| there.later_s).filter(|moved_s| moved_s.abs() > MOVED_S);
        // Where the new print goes on with the old one's own music, that is only a part of the song that comes again.
        let is_taken = |second: i64| {
            let is_common = (0..seconds as i64).contains(&second);
            is_common && !found.iter().any(|[from, to]| (*from as i64..*to as i64).contains(&second))
        };
        let moved_s = there.filter(|moved_s| {
            let moved = moved_s.round() as i64;
            let taken = (from as i64..to as i64).filter(|second| is_taken(second + moved)).count();
            2 * taken < to - from
        });
        Unlike { at_s: of_old(from * second), until_s: of_old(to * second), moved_s }
    };
    found.iter().copied().map(stretch).collect()
}
