//! The song strip: short-term loudness by song position.

use candlemark_analysis::Lufs;
use candlemark_session::strip::StripPoint;
use candlemark_session::view::View;
use candlemark_session::words::number;
use egui::{Align, Color32, Pos2, Rect, Shape, Stroke, pos2, vec2};

use crate::palette::{ACCENT, GRID, INK, NOTE, RAISED, WIRE};
use crate::pen::{self, Pen};
use crate::rooms::SCALE_WIDTH;
use crate::strip_scale::StripScale;
use crate::text;

const HATCH: f32 = 7.0;
const TICK: f32 = 9.0;
/// Between two names on the scale of times.
const BETWEEN_NAMES: f32 = 8.0;
/// Points of a line nearer than this to the last are left out: nobody sees them.
const NEAR: f32 = 0.7;

pub(crate) fn draw(pen: &Pen, room: Rect, view: &View) {
    let plot = Rect::from_min_max(room.min + vec2(0.0, 25.0), room.max - vec2(SCALE_WIDTH, 20.0));
    header(pen, room, view);
    pen.painter.rect_filled(plot, 0.0, RAISED);
    let scale = StripScale::of(plot, view);
    draw_scale(pen, &scale);
    if view.strip.is_empty() {
        pen.text_within(plot, "nothing of the song heard yet", pen::SENTENCE, NOTE);
    }
    for [from, to] in stretches(&view.strip, |point| point.aside) {
        hatch(pen, Rect::from_x_y_ranges(scale.x(from)..=scale.x(to), plot.y_range()));
    }
    draw_line(pen, &scale, &view.strip, |point| point.before, 1.2, WIRE);
    draw_line(pen, &scale, &view.strip, mono, 1.5, ACCENT);
    draw_line(pen, &scale, &view.strip, |point| point.latest, 2.6, INK);
    for point in view.strip.iter().filter(|point| point.over) {
        let x = scale.x(point.song_s - point.cell_s / 2.0);
        pen.down(x, plot.top()..=plot.top() + TICK, 2.0, ACCENT);
    }
    if let Some(playhead_s) = view.playhead_s {
        let x = scale.x(playhead_s);
        pen.down(x, plot.top() - 2.0..=plot.bottom() + 4.0, 1.6, INK);
        let top = plot.top() - 1.0;
        let corners = vec![pos2(x - 4.5, top - 7.0), pos2(x + 4.5, top - 7.0), pos2(x, top)];
        pen.painter.add(Shape::convex_polygon(corners, INK, Stroke::NONE));
    }
}

fn header(pen: &Pen, room: Rect, view: &View) {
    let baseline = room.top() + 12.0;
    let title = pen.text(pos2(room.left(), baseline), Align::Min, "The song", pen::TITLE, INK);
    let mut right = room.right() - SCALE_WIDTH;
    if view.aside {
        let words = "aside now: not counted";
        let place = pen.text(pos2(right, baseline), Align::Max, words, pen::NOTE, ACCENT);
        let swatch = Rect::from_min_size(pos2(place.left() - 26.0, baseline - 10.0), vec2(20.0, 11.0));
        hatch(pen, swatch);
        right = swatch.left() - 10.0;
    }
    let any = |what: fn(&StripPoint) -> bool| view.strip.iter().any(what);
    let mut whole =
        vec!["short-term loudness, latest pass", "line below: the same in mono", "pale: the pass before"];
    let mut short = vec!["heavy: latest", "thin: mono", "pale: before"];
    if any(|point| point.over) {
        whole.push("ticks: overs");
        short.push("ticks: overs");
    }
    if any(|point| point.aside) {
        whole.push("hatched: aside");
        short.push("hatched: aside");
    }
    let fewer = (1..=short.len()).rev().map(|count| short[..count].join(" · "));
    let legends: Vec<String> = std::iter::once(whole.join(" · ")).chain(fewer).collect();
    let left = title.right() + 8.0;
    if let Some(words) = pen.first_that_fits(&legends, pen::NOTE, right - left) {
        pen.text(pos2(left, baseline), Align::Min, words, pen::NOTE, NOTE);
    }
}

fn draw_scale(pen: &Pen, scale: &StripScale) {
    let plot = scale.plot;
    for lufs in scale.levels() {
        let y = scale.y(lufs);
        pen.across(plot.x_range(), y, 0.8, GRID);
        let name = number(lufs, 0);
        pen.text(pos2(plot.right() + 6.0, y + 4.0), Align::Min, &name, pen::NOTE, NOTE);
    }
    let mut taken = f32::NEG_INFINITY;
    for song_s in scale.times() {
        let x = scale.x(song_s);
        pen.down(x, plot.y_range(), 1.0, GRID);
        let name = text::minutes(song_s);
        let half = pen.width(&name, pen::NOTE) / 2.0;
        let x = x.clamp(plot.left() + half, plot.right() - half);
        if x - half > taken {
            let at = pos2(x, plot.bottom() + 17.0);
            taken = pen.text(at, Align::Center, &name, pen::NOTE, NOTE).right() + BETWEEN_NAMES;
        }
    }
}

/// The mono fold; where the latest pass sounds and mono keeps nothing, it lies at the bottom.
fn mono(point: &StripPoint) -> Option<Lufs> {
    point.mono.or(point.latest.map(|_| Lufs(f64::NEG_INFINITY)))
}

fn begin_s(point: &StripPoint) -> f64 {
    point.song_s - point.cell_s
}

/// Whether nothing was heard between two points.
fn gap(before: &StripPoint, after: &StripPoint) -> bool {
    begin_s(after) > before.song_s + 0.5 * after.cell_s.min(before.cell_s)
}

/// The song positions between which something holds without a break, in seconds.
fn stretches(strip: &[StripPoint], holds: impl Fn(&StripPoint) -> bool) -> Vec<[f64; 2]> {
    strip
        .chunk_by(|before, after| !gap(before, after) && holds(before) == holds(after))
        .filter(|run| holds(&run[0]))
        .map(|run| [begin_s(&run[0]), run[run.len() - 1].song_s])
        .collect()
}

/// A line through one loudness of the points, broken where there is none.
fn draw_line(
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
        pen.painter.line(points, Stroke::new(width, colour));
    }
}

/// Slanted lines over a place.
fn hatch(pen: &Pen, place: Rect) {
    let clipped = pen.painter.with_clip_rect(place.intersect(pen.painter.clip_rect()));
    let slant = place.height();
    let mut x = place.left() - slant - (place.left() - slant).rem_euclid(HATCH);
    while x < place.right() {
        let from = pos2(x, place.bottom());
        clipped.line_segment([from, from + vec2(slant, -slant)], Stroke::new(1.0, WIRE));
        x += HATCH;
    }
    pen.painter.rect_stroke(place, 0.0, Stroke::new(1.0, WIRE), egui::StrokeKind::Inside);
}

#[cfg(test)]
mod tests {
    use super::*;

    fn point(song_s: f64, aside: bool) -> StripPoint {
        let latest = Some(Lufs(-20.0));
        StripPoint { song_s, cell_s: 1.0, latest, mono: None, before: None, over: false, aside }
    }

    #[test]
    fn a_stretch_ends_at_a_gap_and_where_it_no_longer_holds() {
        let strip = [point(1.0, true), point(2.0, true), point(5.0, true), point(6.0, false)];
        assert_eq!(stretches(&strip, |point| point.aside), [[0.0, 2.0], [4.0, 5.0]]);
    }

    #[test]
    fn mono_that_keeps_nothing_lies_at_the_bottom_and_silence_nowhere() {
        assert_eq!(mono(&point(1.0, false)), Some(Lufs(f64::NEG_INFINITY)));
        assert_eq!(mono(&StripPoint { latest: None, ..point(1.0, false) }), None);
    }
}
