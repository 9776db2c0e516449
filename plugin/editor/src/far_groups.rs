//! The five octave groups of the far view: beads on wires, with what is outside and what mono takes in figures. A group
//! that is not there is a dash.

use candlemark_session::comparison::{BandComparison, Comparison};
use candlemark_session::figures::{BandFigures, Fold};
use candlemark_session::octave_groups::OctaveGroup;
use candlemark_session::remarks::{Evidence, Figure};
use candlemark_session::view::View;
use candlemark_session::words::signed;
use egui::{Align, Color32, Rangef, Rect, Ui, pos2};

use crate::balance::REACH_DB;
use crate::far::{Far, LETTERS};
use crate::pen::{Kit, Pen};
use crate::rings::Ring;
use crate::text;

/// A song by itself spans at least so much, in dB.
const ALONE_DB: f32 = 24.0;
const RADIUS: f32 = 20.0;
const RING_RADIUS: f32 = 16.0;
const NAMES: f32 = 20.0;
/// The wire between the records, and the knots at its ends.
const WIRE: f32 = 8.0;
const KNOT: f32 = 8.0;
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
pub(crate) fn draw(ui: &Ui, kit: Kit, far: Far, plot: Rect, view: &View) {
    let pen = &kit.pen(ui);
    let names = plot.bottom() - far.long(28.0);
    let marks = marks(view);
    let pitch = plot.width() / OctaveGroup::ALL.len() as f32;
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
        pen.text(pos2(x, names), Align::Center, group.name(), far.face(NAMES, false), pen.colours.note);
        let mark = marks.iter().find(|mark| mark.group == group);
        let column = Rect::from_x_y_ranges(x - pitch / 2.0..=x + pitch / 2.0, plot.y_range());
        kit.label(ui, column, ("far group", group.name()), &said(group, mark));
        if let Some(mark) = mark {
            draw_mark(pen, far, x, mark, &y);
        } else {
            let at = pos2(x, f32::midpoint(top, bottom));
            pen.text(at, Align::Center, text::UNDEFINED, far.face(LETTERS, true), pen.colours.ink);
        }
    }
}

/// What a group says, in a sentence.
fn said(group: OctaveGroup, mark: Option<&Mark>) -> String {
    let name = group.name();
    let Some(mark) = mark else { return format!("{name}: nothing yet") };
    let is = match mark.wire_db {
        Some(_) if mark.outside => format!("{} dB, outside the records", signed(mark.db, 0)),
        Some(_) if mark.is_spread => format!("{} dB, inside the records", signed(mark.db, 0)),
        Some(_) => format!("{} dB beside the records", signed(mark.db, 0)),
        None => format!("{} dB beside the song’s loudness", signed(mark.db, 0)),
    };
    match mark.ring {
        Some(Ring::Lost) => format!("{name}: {is}, lost in mono"),
        Some(Ring::Falls(db)) => format!("{name}: {is}, {} dB in mono", signed(db, 0)),
        None => format!("{name}: {is}"),
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
    let ring = |group| ring_of(group, bands, view.comparison.as_ref()).or_else(|| ring_said(group, view));
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

/// What mono takes from a group, when it is worth telling: where the records tell theirs, when it keeps less than they do.
fn ring_of(group: OctaveGroup, bands: &[BandFigures], records: Option<&Comparison>) -> Option<Ring> {
    let fold = group.fold(bands);
    let told_below_db = records
        .and_then(|records| falls_below_db(group, bands, &records.bands))
        .unwrap_or_else(|| group.falls_below_db());
    let falls = fold.db().filter(|db| db.0 < told_below_db).map(|db| Ring::Falls(db.0));
    falls.or((fold.kept == Some(0.0)).then_some(Ring::Lost))
}

/// The ring of what the remark under the picture says that mono takes, in the group that it speaks of most.
fn ring_said(group: OctaveGroup, view: &View) -> Option<Ring> {
    let Evidence { figure: Figure::Fold(fold), bands_hz: Some([low, high]), .. } =
        view.remarks.first()?.evidence
    else {
        return None;
    };
    let spoken_of =
        |group: OctaveGroup| group.bands_hz().iter().filter(|hz| (low..=high).contains(*hz)).count();
    let most = OctaveGroup::ALL.into_iter().map(spoken_of).max().unwrap_or_default();
    let is_meant = most > 0 && spoken_of(group) == most;
    is_meant.then(|| fold.map_or(Ring::Lost, |db| Ring::Falls(db.0)))
}

/// The fold of a group each of whose bands keeps as little as the records let it, in dB. `None` unless they tell of every
/// band of it that the song has.
fn falls_below_db(group: OctaveGroup, song: &[BandFigures], records: &[BandComparison]) -> Option<f64> {
    let at_the_limit: Option<Vec<BandFigures>> = song
        .iter()
        .filter(|band| group.bands_hz().contains(&band.nominal.0) && band.level.is_some())
        .map(|band| {
            let theirs = records.iter().find(|records| records.nominal == band.nominal)?;
            let kept = 10f64.powf(theirs.falls_below_db()? / 10.0);
            Some(BandFigures { fold: Fold { kept: Some(kept) }, ..*band })
        })
        .collect();
    group.fold(&at_the_limit?).db().map(|db| db.0)
}

fn draw_mark(pen: &Pen, far: Far, x: f32, mark: &Mark, y: &impl Fn(f64) -> f32) {
    let colours = pen.colours;
    let at = y(mark.db);
    if let Some([low, high]) = mark.wire_db {
        if mark.is_spread {
            let reach = Rangef::new(y(high) - far.long(8.0), y(low) + far.long(8.0));
            pen.rod(x, reach, far.long(WIRE), colours.wire);
            for db in [low, high] {
                pen.disc(pos2(x, y(db)), far.long(KNOT), colours.wire);
            }
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
        let width = far.long(5.0);
        pen.filled_ring(pos2(x, below), radius, width, [colours.background, colours.accent]);
        let base = below + radius + far.long(FIGURE - 4.0);
        let unit = if ring == Ring::Lost { "" } else { "dB" };
        write_figure(pen, far, [x, base], [&ring.figure(), unit], colours.accent);
        let caption = pos2(x, base + far.long(22.0));
        pen.text(caption, Align::Center, "in mono", far.face(NAMES, false), colours.note);
    }
    let half = far.long(RADIUS);
    if mark.outside {
        pen.square(pos2(x, at), half, colours.outside);
        let figure = signed(mark.db, 0);
        write_figure(pen, far, [x, at - half - far.long(8.0)], [&figure, "dB"], colours.outside);
    } else {
        pen.disc(pos2(x, at), half, colours.ink);
    }
}

/// A figure with its unit behind it, both together centred on `x`.
fn write_figure(pen: &Pen, far: Far, [x, base]: [f32; 2], [figure, unit]: [&str; 2], colour: Color32) {
    let (face, small) = (far.face(LETTERS, true), far.face(NAMES, false));
    let gap = if unit.is_empty() { 0.0 } else { far.long(3.0) };
    let width = pen.width(figure, face) + gap + pen.width(unit, small);
    let place = pen.text(pos2(x - width / 2.0, base), Align::Min, figure, face, colour);
    if !unit.is_empty() {
        pen.text(pos2(place.right() + gap, base), Align::Min, unit, small, colour);
    }
}

#[cfg(test)]
mod tests {
    use candlemark_analysis::Db;
    use candlemark_session::comparison::RecordFigures;

    use super::*;
    use crate::fixtures;

    /// The mids, as loud in each band, of which mono keeps so much.
    fn song(fold_db: f64) -> Vec<BandFigures> {
        let kept = Some(10f64.powf(fold_db / 10.0));
        let band = |hz: &f64| BandFigures { level: Some(Db(-20.0)), ..fixtures::band(*hz, kept) };
        OctaveGroup::Mids.bands_hz().iter().map(band).collect()
    }

    fn records(fold_low_db: Option<f64>) -> Comparison {
        let bands = OctaveGroup::Mids.bands_hz().iter();
        Comparison {
            name: String::new(),
            records: 3,
            distance_db: None,
            figures: RecordFigures::default(),
            bands: bands.map(|hz| fixtures::records(*hz, fold_low_db)).collect(),
            groups: Vec::new(),
        }
    }

    #[test]
    fn a_group_is_ringed_where_it_keeps_less_than_the_records_and_else_where_it_is_low_for_any_music() {
        let ring =
            |fold_db, records: Option<&Comparison>| ring_of(OctaveGroup::Mids, &song(fold_db), records);
        let wide = records(Some(-6.0));
        assert_eq!(ring(-6.5, Some(&wide)), None, "−6.5 beside −6 less one");
        assert!(matches!(ring(-7.5, Some(&wide)), Some(Ring::Falls(db)) if (db + 7.5).abs() < 1e-9));
        assert!(ring(-3.0, Some(&records(Some(-0.5)))).is_some(), "ordinary, but not beside these");
        for none in [None, Some(&records(None))] {
            assert_eq!(ring(-3.0, none), None);
            assert!(ring(-4.5, none).is_some(), "below −4");
        }
    }
}
