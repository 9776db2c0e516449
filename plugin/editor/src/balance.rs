//! The song's balance, band by band: beside the yardstick's records, or by itself.

use candlemark_session::comparison::{BandComparison, Comparison};
use candlemark_session::view::View;
use candlemark_session::words::signed;
use egui::{Align, Rangef, Rect, Role, Sense, Ui, pos2, vec2};

use crate::band_scale::BandScale;
use crate::beads::{self, Bead, Records};
use crate::legend::{self, Meaning};
use crate::pen::{self, Kit, Pen};
use crate::pointing::Lit;
use crate::rings::Ring;
use crate::rooms::SCALE_WIDTH;
use crate::{Choice, Look, Wish, coverage, picker, spoken, under_all};

/// The scale beside records reaches so far up and down, in dB.
pub(crate) const REACH_DB: f32 = 9.0;
/// The scale of a song by itself spans at least and at most so much, in dB.
const ALONE_DB: [f32; 2] = [30.0, 60.0];
const ALONE_STEP_DB: f32 = 10.0;
const LINE: f32 = 18.0;

/// What came of a frame of the balance.
#[derive(Default)]
pub(crate) struct Answer {
    pub(crate) wish: Option<Wish>,
    /// The band under the pointer, by its nominal frequency in hertz.
    pub(crate) band_hz: Option<f64>,
}

pub(crate) fn draw(
    ui: &mut Ui,
    room: Rect,
    view: &View,
    choice: &Choice,
    kit: Kit,
    lit: Lit,
    look: Look,
) -> Answer {
    let colours = kit.colours;
    let wish = header(ui, room, view, choice, kit);
    let more = how_to_get_more(view, choice);
    let under = 24.0 + LINE * if more.is_empty() { 1.0 } else { 2.0 };
    let plot = room.with_min_y(room.top() + 30.0);
    let plot = plot.with_max_y(room.bottom() - under).with_max_x(room.right() - SCALE_WIDTH);
    let response = kit.interact(ui, plot, "balance", Sense::hover(), Role::Image, &name(view));

    let pen = kit.pen(ui);
    let beads = beads_of(view, look.rings_always);
    let scale = BandScale { plot, db: range_of(view, &beads) };
    let band_hz = response.hover_pos().and_then(|at| scale.band_at(kit.designed(at)));
    let lit = [lit.bands_hz, band_hz.map(|hz| [hz, hz])].into_iter().flatten();
    let lit: Vec<Rect> = lit.filter_map(|bands_hz| scale.column(bands_hz)).collect();
    for column in &lit {
        pen.fill(*column, colours.raised);
    }
    under_all::draw_doubt(&pen, &scale, &view.room_doubt_hz);
    draw_scale(&pen, &scale, view.comparison.is_some());
    let heard = view.as_heard.as_ref().filter(|_| look.as_heard && view.comparison.is_some());
    if let Some(heard) = heard {
        under_all::draw_as_heard(&pen, &scale, heard);
    }
    for column in &lit {
        pen.down(column.left(), column.y_range(), 1.0, colours.note);
        pen.down(column.right(), column.y_range(), 1.0, colours.note);
    }
    let drift = view.drifts.most_drifted().filter(|_| !beads.is_empty());
    beads::draw(&pen, &scale, &beads, drift.as_ref(), &lit);
    if beads.is_empty() {
        pen.text_within(plot, coverage::too_little(view), pen::SENTENCE, colours.note);
    }

    let width = plot.width();
    let line = |index: f32| pos2(plot.right(), plot.bottom() + 39.0 + LINE * index);
    if let Some(hz) = band_hz {
        let song = view.song.bands.iter().find(|band| band.nominal.0 == hz);
        let mut said = spoken::band(hz, song, compared(view, hz));
        if view.room_doubt_hz.contains(&hz) {
            said.insert(0, format!("{}; don’t believe the room here", said[0]));
        }
        pen.text_that_fits(line(0.0), Align::Max, &said, pen::NOTE, width, colours.ink);
    } else {
        let words = legend::line(&pen, &meanings(view, &scale, &beads, heard.is_some()), width);
        pen.text(line(0.0), Align::Max, &words, pen::NOTE, colours.note);
    }
    pen.text_that_fits(line(1.0), Align::Max, more, pen::NOTE, width, colours.note);
    Answer { wish, band_hz }
}

/// What a reader of screens is told of the picture.
fn name(view: &View) -> String {
    let drift = view.drifts.brighter_words().map_or_else(String::new, |[both, _]| format!("; {both}"));
    let balance = match &view.comparison {
        Some(comparison) if comparison.judges() => {
            let (outside, all) = (comparison.outside_count(), comparison.bands.len());
            format!("Balance: {outside} of {all} bands outside the records")
        }
        Some(_) => "Balance beside the records".into(),
        None => "Balance of the song by itself".into(),
    };
    balance + &drift
}

/// A band beside the records, by its nominal frequency in hertz.
pub(crate) fn compared(view: &View, hz: f64) -> Option<&BandComparison> {
    view.comparison.as_ref()?.bands.iter().find(|band| band.nominal.0 == hz)
}

fn header(ui: &mut Ui, room: Rect, view: &View, choice: &Choice, kit: Kit) -> Option<Wish> {
    let baseline = room.top() + 14.0;
    let colours = kit.colours;
    let pen = kit.pen(ui);
    let title = pen.text(pos2(room.left(), baseline), Align::Min, "Balance", pen::TITLE, colours.ink);
    let at = pos2(title.right() + 5.0, baseline);
    let against = pen.text(at, Align::Min, "against", pen::NOTE, colours.note);
    let width = picker::width(&pen, choice);
    let place = Rect::from_min_size(pos2(against.right() + 7.0, baseline - 15.0), vec2(width, 21.0));
    let wish = picker::show(ui, kit, place, view, choice);

    let (what, short) = match view.comparison {
        Some(_) => ("loudness matched", "loudness matched"),
        None => ("each band beside the song’s own loudness", "beside the song’s loudness"),
    };
    let rest = beside_picker(view, what, short);
    let left = place.right() + 9.0;
    let at = pos2(left, baseline);
    pen.text_that_fits(at, Align::Min, &rest, pen::NOTE, room.right() - left, colours.note);
    wish
}

/// What stands beside the picker, from long to short: what is seen, how much was heard, and how it has drifted.
fn beside_picker(view: &View, what: &str, short: &str) -> Vec<String> {
    let Some([long, brief]) = coverage::heard(view) else { return vec![what.to_owned(), short.to_owned()] };
    let mut forms = Vec::new();
    if let Some([both, one]) = view.drifts.brighter_words() {
        let heard = [format!("{what} · {long}"), long.clone(), brief.clone()];
        forms.extend(
            [&both, &one]
                .iter()
                .flat_map(|drift| heard.iter().map(move |heard| format!("{heard} · {drift}"))),
        );
        forms.push(one);
    }
    forms.extend([format!("{what} · {long}"), format!("{short} · {brief}"), long, brief]);
    forms
}

/// The least that is missing, and how to get it, from long to short. Nothing with three records or more.
fn how_to_get_more(view: &View, choice: &Choice) -> &'static [&'static str] {
    match &view.comparison {
        Some(Comparison { records: 1, .. }) => &[
            "one record is a place, not a spread: nothing is called outside until you take three or more",
            "nothing is called outside by one record: take three or more",
        ],
        Some(Comparison { records: 2, .. }) => &[
            "two records don’t say how far records lie apart: nothing is called outside until you take three or more",
            "nothing is called outside by two records: take three or more",
        ],
        Some(_) => &[],
        None if choice.in_use.is_some() => &[],
        None if choice.names.is_empty() => {
            &["to see it beside records, take a yardstick from their files above"]
        }
        None => &["to see it beside records, choose a yardstick above"],
    }
}

/// What the marks mean, those that matter most first.
fn meanings(view: &View, scale: &BandScale, beads: &[Bead], as_heard: bool) -> Vec<Meaning> {
    let mut meanings: Vec<Meaning> = match &view.comparison {
        Some(Comparison { records: 1, .. }) => vec![("dash: the record", "dash: the record")],
        Some(Comparison { records: 2, .. }) => vec![("dashes: the two records", "dashes: the records")],
        Some(_) => vec![("square: outside the records", "square: outside")],
        None => Vec::new(),
    };
    if beads.iter().any(|bead| scale.off(bead.db).is_some()) {
        meanings.push(("arrow: off the scale", "arrow: off the scale"));
    }
    meanings.push(("ring: where mono leaves it", "ring: in mono"));
    if beads.iter().any(|bead| bead.ring.is_some() && bead.ring_is_ordinary) {
        meanings.push(("pale ring: no more than is ordinary", "pale: ordinary"));
    }
    if !view.room_doubt_hz.is_empty() {
        meanings.push(("dots: room doubt", "dots: room doubt"));
    }
    if as_heard {
        meanings.push(("tick: as heard at the chair, beside 80 phon", "tick: as heard"));
    }
    match &view.comparison {
        Some(comparison) if comparison.judges() => {
            meanings.push(("between knots: where records lie", "knots: records"));
            meanings.push(("thin: how far they move", "thin: movement"));
        }
        Some(_) => meanings.push(("thin: how far a record moves", "thin: movement")),
        None => meanings.push(("thin: how far the song moves", "thin: movement")),
    }
    meanings
}

fn beads_of(view: &View, rings_always: bool) -> Vec<Bead> {
    let song = &view.song.bands;
    let Some(comparison) = &view.comparison else {
        let alone = song.iter().filter_map(|band| {
            let relative = band.relative?;
            Some(Bead {
                hz: band.nominal.0,
                db: relative.median_db,
                records: Records::None,
                moves_db: [relative.low_db, relative.high_db],
                outside: false,
                ring: Ring::of(band, None, rings_always),
                ring_is_ordinary: Ring::of(band, None, false).is_none(),
            })
        });
        return alone.collect();
    };
    let beside = comparison.bands.iter().map(|band| {
        let figures = song.iter().find(|figures| figures.nominal == band.nominal);
        let ring = |always| figures.and_then(|figures| Ring::of(figures, Some(band), always));
        Bead {
            hz: band.nominal.0,
            db: band.off_db,
            records: match band.records {
                0 => Records::None,
                1 => Records::One(band.low_db),
                2 => Records::Two([band.low_db, band.high_db]),
                _ => Records::Reach([band.low_db, band.high_db]),
            },
            moves_db: [band.within_low_db, band.within_high_db],
            outside: band.outside,
            ring: ring(rings_always),
            ring_is_ordinary: ring(false).is_none(),
        }
    });
    beside.collect()
}

/// From the lowest to the highest level of the scale, in dB.
fn range_of(view: &View, beads: &[Bead]) -> Rangef {
    if view.comparison.is_some() {
        return Rangef::new(-REACH_DB, REACH_DB);
    }
    let levels = || beads.iter().map(|bead| bead.db as f32);
    let highest = levels().reduce(f32::max).unwrap_or(-ALONE_STEP_DB / 2.0);
    let lowest = levels().reduce(f32::min).unwrap_or(highest);
    let top = (highest / ALONE_STEP_DB).ceil() * ALONE_STEP_DB;
    let [least, most] = ALONE_DB;
    let span = (((top - lowest) / ALONE_STEP_DB).ceil() * ALONE_STEP_DB).clamp(least, most);
    Rangef::new(top - span, top)
}

fn draw_scale(pen: &Pen, scale: &BandScale, beside_records: bool) {
    let (grid, rule) = (pen.colours.grid, pen.colours.rule);
    scale.draw_bands(pen);
    let (step, zero_width) = if beside_records { (3.0, 1.4) } else { (ALONE_STEP_DB, 0.8) };
    let count = (scale.db.span() / step).round() as i32;
    // Where the lines stand closer than figures are high, every other one is named, the middle one among them.
    let is_close = scale.plot.height() < LINE * count as f32;
    for index in 0..=count {
        let db = scale.db.max - step * index as f32;
        let (width, colour) = if db == 0.0 { (zero_width, rule) } else { (0.8, grid) };
        let is_named = !is_close || (index - count / 2) % 2 == 0;
        let name = if is_named { signed(db.into(), 0) } else { String::new() };
        scale.draw_level(pen, db.into(), &name, width, colour);
    }
}
