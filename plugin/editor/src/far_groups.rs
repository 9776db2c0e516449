//! The five octave groups of the far view: beads on wires, with what is outside and what mono takes in figures. A group
//! that is not there is a dash.

use candlemark_session::figures::BandFigures;
use candlemark_session::octave_groups::OctaveGroup;
use candlemark_session::view::View;
use egui::{Align, Rangef, Rect, Stroke, pos2, vec2};

use crate::far::{Far, LETTERS};
use crate::pen::Pen;
use crate::rings::Ring;
use crate::text;

/// The scale beside records reaches so far up and down, in dB.
const REACH_DB: f32 = 9.0;
/// A song by itself spans at least so much, in dB.
const ALONE_DB: f32 = 24.0;
const RADIUS: f32 = 20.0;
const RING_RADIUS: f32 = 16.0;
const NAMES: f32 = 20.0;
/// What a figure takes over its mark or under it.
const FIGURE: f32 = 40.0;

/// One group's mark.
struct Mark {
    group: OctaveGroup,
    db: f64,
    wire_db: Option<[f64; 2]>,
    /// There are records enough for what lies between to mean something.
    is_spread: bool,
    outside: bool,
    ring: Option<Ring>,
}

/// Draws the groups and their names.
pub(crate) fn draw(pen: &Pen, far: Far, plot: Rect, view: &View) {
    let names = plot.bottom() - far.long(28.0);
    let marks = marks(view);
    let pitch = plot.width() / OctaveGroup::ALL.len() as f32;
    for group in OctaveGroup::ALL {
        let x = plot.left() + pitch * (group as usize as f32 + 0.5);
        pen.text(pos2(x, names), Align::Center, group.name(), far.face(NAMES, false), pen.colours.note);
    }
    let under = names - far.long(28.0);
    let top = plot.top() + far.long(FIGURE + RADIUS);
    let bottom = under - far.long(FIGURE + 22.0 + RING_RADIUS);
    let how = match &view.comparison {
        _ if marks.is_empty() => "",
        None => "no yardstick: the song by itself",
        Some(comparison) if !comparison.judges() => "fewer than three records: none to judge by",
        Some(_) => "",
    };
    pen.text(pos2(plot.left(), under), Align::Min, how, far.face(NAMES, false), pen.colours.note);
    let scale = scale(&marks, view.comparison.is_some());
    let y = |db: f64| egui::remap_clamp(db as f32, scale, Rangef::new(bottom, top));
    if view.comparison.is_some() {
        pen.across(plot.x_range(), y(0.0), 1.6, pen.colours.rule);
    }
    for group in OctaveGroup::ALL {
        let x = plot.left() + pitch * (group as usize as f32 + 0.5);
        if let Some(mark) = marks.iter().find(|mark| mark.group == group) {
            draw_mark(pen, far, x, mark, &y);
        } else {
            let at = pos2(x, f32::midpoint(top, bottom));
            pen.text(at, Align::Center, text::UNDEFINED, far.face(LETTERS, true), pen.colours.ink);
        }
    }
}

fn scale(marks: &[Mark], beside_records: bool) -> Rangef {
    if beside_records {
        return Rangef::new(-REACH_DB, REACH_DB);
    }
    let levels = || marks.iter().map(|mark| mark.db as f32);
    let highest = levels().fold(f32::NEG_INFINITY, f32::max);
    let lowest = levels().fold(f32::INFINITY, f32::min).min(highest - ALONE_DB);
    Rangef::new(lowest, highest)
}

fn marks(view: &View) -> Vec<Mark> {
    let bands = &view.song.bands;
    let ring = |group| ring_of(group, bands);
    match &view.comparison {
        Some(comparison) => comparison
            .groups
            .iter()
            .map(|group| Mark {
                group: group.group,
                db: group.off_db,
                wire_db: Some([group.low_db, group.high_db]),
                is_spread: comparison.judges(),
                outside: group.outside,
                ring: ring(group.group),
            })
            .collect(),
        None => OctaveGroup::ALL
            .into_iter()
            .filter_map(|group| {
                let db = group.relative_db(bands)?;
                Some(Mark { group, db, wire_db: None, is_spread: false, outside: false, ring: ring(group) })
            })
            .collect(),
    }
}

/// What mono takes from a group, when it is worth telling.
fn ring_of(group: OctaveGroup, bands: &[BandFigures]) -> Option<Ring> {
    let fold = group.fold(bands);
    let falls = fold.db().filter(|db| db.0 < group.falls_below_db()).map(|db| Ring::Falls(db.0));
    falls.or((fold.kept == Some(0.0)).then_some(Ring::Lost))
}

fn draw_mark(pen: &Pen, far: Far, x: f32, mark: &Mark, y: &impl Fn(f64) -> f32) {
    let colours = pen.colours;
    let at = y(mark.db);
    let face = far.face(LETTERS, true);
    if let Some([low, high]) = mark.wire_db {
        if mark.is_spread {
            let reach = Rangef::new(y(high) - far.long(8.0), y(low) + far.long(8.0));
            pen.rod(x, reach, far.long(22.0), colours.wire);
        } else {
            for db in [low, high] {
                let half = far.long(1.4 * RADIUS);
                pen.across(x - half..=x + half, y(db), far.long(8.0), colours.wire);
            }
        }
    }
    if let Some(ring) = mark.ring {
        let radius = far.long(RING_RADIUS);
        let below = y(ring.below_db(mark.db)).max(at + far.long(RADIUS) + radius);
        pen.down(x, at..=below, far.long(4.0), colours.accent);
        let stroke = Stroke::new(far.long(5.0), colours.accent);
        pen.painter.circle(pos2(x, below), radius, colours.background, stroke);
        let base = below + radius + far.long(FIGURE - 4.0);
        pen.text(pos2(x, base), Align::Center, &ring.figure(), face, colours.accent);
        let caption = pos2(x, base + far.long(22.0));
        pen.text(caption, Align::Center, "in mono", far.face(NAMES, false), colours.note);
    }
    let half = far.long(RADIUS);
    let place = Rect::from_center_size(pos2(x, at), vec2(half, half) * 2.0);
    if mark.outside {
        pen.painter.rect_filled(place, 0.0, colours.outside);
        let figure = text::with_sign(mark.db, 0);
        pen.text(pos2(x, at - half - far.long(8.0)), Align::Center, &figure, face, colours.outside);
    } else {
        pen.painter.circle_filled(place.center(), half, colours.ink);
    }
}
