//! A cut near an end of the song: the head of the old print, or its tail, lies elsewhere in the new one than the rest does.

use serde::Serialize;

use super::unlike::ALIKE_THERE;
use super::{FURTHEST_S, NEARER, Overlay, STEP_S, correlation_of, levels};
use crate::words::{clock, number};

/// What lies before the cut, or behind it, is found from so much on, in seconds (ours): some bars.
const LEAST_S: f64 = 10.0;
/// It is elsewhere only where it fits there by so much better than where the rest is, in correlation (ours): loops fit in
/// many places.
const BETTER: f64 = 0.1;
/// What lies nearer than this to where it should is not elsewhere, in steps (ours).
const APART: i64 = 2;
/// No cut leaves out more of what both share than this share of it (ours): half.
const MOST_LEFT_OUT: f64 = 0.5;

/// Something that was cut from a song, or put into it, so that what is before or behind it lies elsewhere than the rest.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Cut {
    /// Where in the old print, in seconds.
    pub at_s: f64,
    /// How much was cut, in seconds; under 0 it was put in.
    pub cut_s: f64,
    /// The longer part lies behind it, and the head was found elsewhere; else the tail was.
    pub is_head: bool,
    /// What of the old print lies beside other music where the rest lies over itself, from where to where in seconds: it is
    /// left out.
    pub left_out_s: [f64; 2],
}

impl Cut {
    /// What was done, and where.
    pub fn words(&self) -> String {
        let how = if self.cut_s > 0.0 { "cut" } else { "put in" };
        let side = if self.is_head { "before" } else { "behind" };
        format!(
            "{} s were {how} at {}; what lies {side} that is left out here.",
            number(self.cut_s.abs(), 2),
            clock(self.at_s)
        )
    }

    /// Whether any of a stretch of the old print is left out, in seconds.
    pub(super) fn takes(&self, from_s: f64, to_s: f64) -> bool {
        self.left_out_s[0] < to_s && self.left_out_s[1] > from_s
    }
}

/// A head that lies elsewhere.
struct Head {
    /// The old one's is so many steps later in the new one.
    later: i64,
    /// Where it ends: in the new print where something was cut behind it, in the old one where something was put in.
    end: usize,
}

/// What was cut or put in near the ends of two prints that lie over each other so, by the powers of their steps.
pub fn cuts(old_power: &[f64], new_power: &[f64], overlay: &Overlay) -> Vec<Cut> {
    let (mut old, mut new) = (levels(old_power), levels(new_power));
    let steps = |seconds: f64| (seconds / STEP_S).round() as i64;
    let seconds = |steps: i64| steps as f64 * STEP_S;
    let later = steps(overlay.later_s);
    let (old_length, new_length) = (old.len() as i64, new.len() as i64);
    let (from, to) = ((-later).max(0), old_length.min(new_length - later));
    let head = head(&old, &new, later).map(|head| {
        let (end, cut) = (head.end as i64, head.later - later);
        let [at, left_out_to] = if cut > 0 { [end - head.later, end - later] } else { [end, end] };
        Cut {
            at_s: seconds(at),
            cut_s: seconds(cut),
            is_head: true,
            left_out_s: [from, left_out_to.max(from)].map(seconds),
        }
    });
    // A tail is the head of what is played backwards.
    old.reverse();
    new.reverse();
    let later_backwards = new_length - old_length - later;
    let tail = self::head(&old, &new, later_backwards).map(|tail| {
        let (end, cut) = (tail.end as i64, tail.later - later_backwards);
        let [at, left_out_from] = if cut > 0 {
            [old_length - (end - tail.later) - cut, new_length - end - later]
        } else {
            [old_length - end, old_length - end]
        };
        Cut {
            at_s: seconds(at),
            cut_s: seconds(cut),
            is_head: false,
            left_out_s: [left_out_from.min(to), to].map(seconds),
        }
    });
    // The longer part is what the rest is compared by: what takes most of it is a loop that comes again.
    let most_s = MOST_LEFT_OUT * seconds(to - from);
    let is_cut = |cut: &Cut| cut.left_out_s[1] - cut.left_out_s[0] <= most_s;
    head.into_iter().chain(tail).filter(is_cut).collect()
}

/// A stretch of an envelope, where there is all of it.
fn stretch(levels: &[f64], from: i64, length: usize) -> Option<&[f64]> {
    let from = usize::try_from(from).ok()?;
    levels.get(from..from + length)
}

/// The head, where it lies elsewhere than the rest, which lies so many steps `later`.
fn head(old: &[f64], new: &[f64], later: i64) -> Option<Head> {
    let least = (LEAST_S / STEP_S) as usize;
    let furthest = (FURTHEST_S / STEP_S) as i64;
    let alike = |from_old: i64, by: i64| {
        correlation_of(stretch(old, from_old, least)?, stretch(new, from_old + by, least)?)
    };
    let at = |by: i64| Some((by, alike((-by).max(0), by)?));
    let fit = |(by, correlation): &(i64, f64)| correlation - NEARER * by.abs() as f64 * STEP_S;
    let (by, correlation) =
        (-furthest..=furthest).filter_map(at).max_by(|one, other| fit(one).total_cmp(&fit(other)))?;
    if (by - later).abs() <= APART || correlation < ALIKE_THERE {
        return None;
    }
    // The same of the old print, and the same of the new one, where the rest lies.
    let from_old = (-by).max(0);
    let where_the_rest_is = [alike(from_old, later), alike(from_old + by - later, later)];
    if where_the_rest_is.into_iter().flatten().any(|other| correlation < other + BETTER) {
        return None;
    }
    let end = if by > later { end_of(old, new, by, later) } else { end_of(new, old, -by, -later) }?;
    Some(Head { later: by, end })
}

/// Where a head ends that lies `by` steps later in `new` than in `old`, as the rest lies `later`, which is less: where what is
/// left over of the levels' differences is least, the head's before it and the rest's behind it.
fn end_of(old: &[f64], new: &[f64], by: i64, later: i64) -> Option<usize> {
    let least = (LEAST_S / STEP_S) as i64;
    let begin = by.max(0);
    let stop = (new.len() as i64).min(old.len() as i64 + later);
    let square = |at: i64, by: i64| {
        let old = usize::try_from(at - by).ok().and_then(|at| old.get(at))?;
        Some((old - new[at as usize]).powi(2))
    };
    // Over what lies before it, the head's less the rest's; what the rest lies over not at all is the head's.
    let mut over = 0.0;
    let mut best: Option<(f64, i64)> = None;
    for at in begin..stop {
        if best.is_none_or(|(least, _)| over < least) {
            best = Some((over, at));
        }
        over += square(at, by).zip(square(at, later)).map_or(0.0, |(head, rest)| head - rest);
    }
    best.filter(|(_, at)| at - begin >= least).map(|(_, at)| at as usize)
}

#[cfg(test)]
mod tests;
