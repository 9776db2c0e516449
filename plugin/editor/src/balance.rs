//! The song's balance, band by band: beside the yardstick's records, or by itself.

use candlemark_session::comparison::{Comparison, RECORDS_TO_JUDGE};
use candlemark_session::view::View;
use egui::{Align, Rangef, Rect, Ui, pos2};

use crate::beads::{Bead, Scale};
use crate::palette::{GRID, INK, NOTE, RULE};
use crate::pen::{self, Pen};
use crate::rings::Ring;
use crate::rooms::SCALE_WIDTH;
use crate::{Choice, Wish, picker, text};

/// The scale beside records reaches so far up and down, in dB.
const REACH_DB: i32 = 9;
/// The scale of a song by itself spans at least and at most so much, in dB.
const ALONE_DB: [f32; 2] = [30.0, 60.0];
const ALONE_STEP_DB: f32 = 10.0;
const RING: &str = "ring: where mono leaves it";

pub(crate) fn draw(ui: &mut Ui, room: Rect, view: &View, choice: &Choice) -> Option<Wish> {
    let wish = header(ui, room, view, choice);
    let pen = Pen { painter: ui.painter() };
    let legend: Vec<&str> = match &view.comparison {
        Some(comparison) if comparison.records < RECORDS_TO_JUDGE => {
            vec!["fewer than three records: nothing is called outside", RING]
        }
        Some(_) => vec!["square: outside the records", RING],
        None if choice.names.is_empty() => {
            vec![RING, "for a yardstick: candlemark yardstick take FILE… --name NAME"]
        }
        None => vec![RING, "to see it beside records, choose a yardstick above"],
    };
    let legend = pen.lines(&legend, pen::NOTE, room.width() - SCALE_WIDTH);
    let under = 24.0 + 18.0 * legend.len() as f32;
    let plot = room.with_min_y(room.top() + 30.0);
    let plot = plot.with_max_y(room.bottom() - under).with_max_x(room.right() - SCALE_WIDTH);
    for (line, words) in legend.iter().enumerate() {
        let at = pos2(plot.right(), plot.bottom() + 39.0 + 18.0 * line as f32);
        pen.text(at, Align::Max, words, pen::NOTE, NOTE);
    }
    let empty = match &view.comparison {
        Some(comparison) => beside_records(&pen, plot, view, comparison),
        None => alone(&pen, plot, view),
    };
    if empty {
        pen.text_within(plot, "not enough of the song heard yet", pen::SENTENCE, NOTE);
    }
    wish
}

fn header(ui: &mut Ui, room: Rect, view: &View, choice: &Choice) -> Option<Wish> {
    let baseline = room.top() + 14.0;
    let pen = Pen { painter: ui.painter() };
    let title = pen.text(pos2(room.left(), baseline), Align::Min, "Balance", pen::TITLE, INK);
    let against = pen.text(pos2(title.right() + 5.0, baseline), Align::Min, "against", pen::NOTE, NOTE);
    let width = picker::width(&pen, choice);
    let place = Rect::from_x_y_ranges(
        against.right() + 7.0..=against.right() + 7.0 + width,
        baseline - 15.0..=baseline + 6.0,
    );
    let wish = picker::show(ui, place, choice);

    let pen = Pen { painter: ui.painter() };
    let (what, short) = match view.comparison {
        Some(_) => ("loudness matched", "loudness matched"),
        None => ("each band beside the song’s own loudness", "beside the song’s loudness"),
    };
    let heard = text::minutes(view.song.duration_s);
    let rest = if view.song.duration_s > 0.0 {
        vec![
            format!("{what} · {heard} of the song heard"),
            format!("{short} · {heard} heard"),
            format!("{heard} heard"),
        ]
    } else {
        vec![what.to_owned(), short.to_owned()]
    };
    let left = place.right() + 9.0;
    if let Some(words) = pen.first_that_fits(&rest, pen::NOTE, room.right() - left) {
        pen.text(pos2(left, baseline), Align::Min, words, pen::NOTE, NOTE);
    }
    wish
}

/// Gives whether there was nothing to draw.
fn beside_records(pen: &Pen, plot: Rect, view: &View, comparison: &Comparison) -> bool {
    let scale = Scale { plot, db: Rangef::new(-REACH_DB as f32, REACH_DB as f32) };
    scale.draw_bands(pen);
    for db in (-REACH_DB..=REACH_DB).step_by(3) {
        let (width, colour) = if db == 0 { (1.4, RULE) } else { (0.8, GRID) };
        scale.draw_level(pen, db.into(), &text::with_sign(db.into(), 0), width, colour);
    }
    let beads: Vec<Bead> = comparison
        .bands
        .iter()
        .map(|band| Bead {
            hz: band.nominal.0,
            db: band.off_db,
            wire_db: Some([band.low_db, band.high_db]),
            outside: band.outside,
            ring: Bead::ring_of(&view.song.bands, band.nominal.0),
        })
        .collect();
    scale.draw_beads(pen, &beads);
    beads.is_empty()
}

/// Gives whether there was nothing to draw.
fn alone(pen: &Pen, plot: Rect, view: &View) -> bool {
    let beads: Vec<Bead> = view
        .song
        .bands
        .iter()
        .filter_map(|band| {
            let db = band.relative?.median_db;
            Some(Bead { hz: band.nominal.0, db, wire_db: None, outside: false, ring: Ring::of(band) })
        })
        .collect();
    let levels = || beads.iter().map(|bead| bead.db as f32);
    let highest = levels().reduce(f32::max).unwrap_or(-ALONE_STEP_DB / 2.0);
    let lowest = levels().reduce(f32::min).unwrap_or(highest);
    let top = (highest / ALONE_STEP_DB).ceil() * ALONE_STEP_DB;
    let [least, most] = ALONE_DB;
    let span = (((top - lowest) / ALONE_STEP_DB).ceil() * ALONE_STEP_DB).clamp(least, most);
    let scale = Scale { plot, db: Rangef::new(top - span, top) };
    scale.draw_bands(pen);
    for step in 0..=(span / ALONE_STEP_DB) as i32 {
        let db = top - ALONE_STEP_DB * step as f32;
        let colour = if db == 0.0 { RULE } else { GRID };
        scale.draw_level(pen, db.into(), &text::with_sign(db.into(), 0), 0.8, colour);
    }
    scale.draw_beads(pen, &beads);
    beads.is_empty()
}
