//! The lines of the song strip, and the stretches that they are broken into.

use candlemark_analysis::Lufs;
use candlemark_session::strip::StripPoint;
use egui::{Color32, Pos2, Rect, Shape, Stroke, pos2, vec2};

use crate::pen::Pen;
use crate::strip_scale::StripScale;

const HATCH: f32 = 7.0;
/// Points of a line nearer than this to the last are left out: nobody sees them.
const NEAR: f32 = 0.7;

/// The mono fold; where the latest pass sounds and mono keeps nothing, it lies at the bottom.
pub(crate) fn mono(point: &StripPoint) -> Option<Lufs> {
    point.mono.or(point.latest.map(|_| Lufs(f64::NEG_INFINITY)))
}

/// Whether the song was heard in a point's cell: it was not where all there was is aside.
pub(crate) fn is_heard(point: &StripPoint) -> bool {
    point.latest.is_some() || !point.aside
}

pub(crate) fn begin_s(point: &StripPoint) -> f64 {
    point.song_s - point.cell_s
}

/// The points between two song positions, and one more on either side, to which lines go on. A strip is in order, so
/// that the others cost nothing.
pub(crate) fn shown(strip: &[StripPoint], [from, to]: [f64; 2]) -> &[StripPoint] {
    let first = strip.partition_point(|point| point.song_s < from);
    let last = strip.partition_point(|point| begin_s(point) <= to);
    &strip[first.saturating_sub(1)..(last + 1).clamp(first, strip.len())]
}

/// Whether nothing was heard between two points.
fn gap(before: &StripPoint, after: &StripPoint) -> bool {
    begin_s(after) > before.song_s + 0.5 * after.cell_s.min(before.cell_s)
}

/// The song positions between which something holds without a break, in seconds.
pub(crate) fn stretches(strip: &[StripPoint], holds: impl Fn(&StripPoint) -> bool) -> Vec<[f64; 2]> {
    strip
        .chunk_by(|before, after| !gap(before, after) && holds(before) == holds(after))
        .filter(|run| holds(&run[0]))
        .map(|run| [begin_s(&run[0]), run[run.len() - 1].song_s])
        .collect()
}

/// A line through one loudness of the points, broken where there is none.
pub(crate) fn draw_line(
    pen: &Pen,
    scale: &StripScale,
    strip: &[StripPoint],
    loudness: impl Fn(&StripPoint) -> Option<Lufs>,
    width: f32,
    colour: Color32,
) {
    let runs = strip.chunk_by(|before, after| {
        !gap(before, after) && loudness(before).is_some() == loudness(after).is_some()
    });
    for run in runs {
        let Some(Lufs(first)) = loudness(&run[0]) else { continue };
        let mut points: Vec<Pos2> = vec![pos2(scale.x(begin_s(&run[0])), scale.y(first))];
        for (index, point) in run.iter().enumerate() {
            let Some(Lufs(lufs)) = loudness(point) else { continue };
            let next = pos2(scale.x(point.song_s), scale.y(lufs));
            let near = points.last().is_some_and(|last| next.x - last.x < NEAR);
            if !near || index + 1 == run.len() {
                points.push(next);
            }
        }
        pen.add(Shape::line(points, Stroke::new(width, colour)));
    }
}

/// Slanted lines over a place.
pub(crate) fn hatch(pen: &Pen, place: Rect) {
    let shown = place.intersect(pen.clip_rect());
    if !shown.is_positive() {
        return;
    }
    let inside = pen.clip(shown);
    let slant = place.height();
    // The lines lie where they lie from left to right, whatever part of the place is shown.
    let first = shown.left() - slant;
    let mut x = first - (first - place.left()).rem_euclid(HATCH);
    while x < shown.right() {
        let from = pos2(x, place.bottom());
        inside.line(from, from + vec2(slant, -slant), 1.0, pen.colours.wire);
        x += HATCH;
    }
    pen.frame(place, 1.0, pen.colours.wire);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixtures::point;

    #[test]
    fn of_a_long_strip_only_what_is_shown_is_looked_at() {
        let strip: Vec<StripPoint> = (1..=1000).map(|song_s| point(f64::from(song_s))).collect();
        let ends = |part| {
            let shown = shown(&strip, part);
            shown.first().zip(shown.last()).map(|(first, last)| (first.song_s, last.song_s))
        };
        assert_eq!(ends([100.0, 120.0]), Some((99.0, 122.0)));
        assert_eq!(ends([0.0, 1000.0]), Some((1.0, 1000.0)));
        assert_eq!(ends([2000.0, 2100.0]), Some((1000.0, 1000.0)));
        assert!(shown(&[], [0.0, 60.0]).is_empty());
    }

    #[test]
    fn a_stretch_ends_at_a_gap_and_where_it_no_longer_holds() {
        let aside = |song_s| StripPoint { aside: true, ..point(song_s) };
        let strip = [aside(1.0), aside(2.0), aside(5.0), point(6.0)];
        assert_eq!(stretches(&strip, |point| point.aside), [[0.0, 2.0], [4.0, 5.0]]);
    }

    #[test]
    fn mono_that_keeps_nothing_lies_at_the_bottom_and_silence_nowhere() {
        assert_eq!(mono(&point(1.0)), Some(Lufs(f64::NEG_INFINITY)));
        assert_eq!(mono(&StripPoint { latest: None, ..point(1.0) }), None);
    }

    #[test]
    fn silence_is_heard_and_what_is_only_aside_is_not() {
        let silent = StripPoint { latest: None, ..point(1.0) };
        assert!(is_heard(&silent) && is_heard(&StripPoint { aside: true, ..point(1.0) }));
        assert!(!is_heard(&StripPoint { aside: true, ..silent }));
    }
}
