//! The groups of figures, with the records' range beside each: loudness, dynamics, mono, the chair, elsewhere.

use candlemark_analysis::Lufs;
use candlemark_session::comparison::{Comparison, RecordFigures};
use candlemark_session::view::View;
use candlemark_session::words::SAME_DB;
use egui::{Align, Rect, Ui, Vec2, pos2, vec2};

use crate::column_plan::{Plan, TITLE_ROWS};
use crate::figure_row::{Row, Sign};
use crate::pen::{self, Kit, Pen};
use crate::{Wish, chair_group, hinge, knob_marking, text};

/// Figures end here, from the column's left.
const FIGURE_END: f32 = 134.0;

struct Column<'a> {
    ui: &'a Ui,
    kit: Kit,
    pen: Pen,
    room: Rect,
    y: f32,
    pitch: f32,
}

impl Column<'_> {
    fn title(&mut self, title: &str, unit: &str, right: &str) {
        let (pen, baseline) = (&self.pen, self.y + 14.0);
        let left = pos2(self.room.left(), baseline);
        let place = pen.text(left, Align::Min, title, pen::TITLE, pen.colours.ink);
        pen.text(pos2(place.right() + 6.0, baseline), Align::Min, unit, pen::NOTE, pen.colours.note);
        pen.text(pos2(self.room.right(), baseline), Align::Max, right, pen::NOTE, pen.colours.note);
        pen.across(self.room.x_range(), baseline + 7.0, 1.0, pen.colours.rule);
        self.y += self.pitch * TITLE_ROWS;
    }

    fn row(&mut self, row: &Row, figure_end: f32) {
        let place = Rect::from_x_y_ranges(self.room.x_range(), self.y..=self.y + self.pitch);
        row.draw(&self.pen, place, figure_end);
        row.name(self.ui, self.kit, place);
        self.y += self.pitch;
    }

    /// The hinge, with correlation on its right.
    fn hinge(&mut self, height: f32, view: &View) {
        let place = Rect::from_x_y_ranges(self.room.x_range(), self.y + 4.0..=self.y + height);
        let (hinge, words) = place.split_left_right_at_fraction(0.5);
        hinge::draw(&self.pen, hinge, view.correlation);
        let said = hinge::said(view.correlation);
        let named = self.kit.label(self.ui, hinge, "the hinge", &said);
        named.on_hover_text(
            "Correlation as an opening: shut is mono (+1), square unrelated sides (0), flat opposite ones (−1).",
        );
        let (pen, row, middle) = (&self.pen, correlation(view), words.center().y);
        let at = |down: f32| pos2(words.right(), middle + down);
        pen.text(at(-18.0), Align::Max, row.label, pen::LABEL, pen.colours.note);
        pen.text(at(4.0), Align::Max, &row.figure, pen::FIGURE, pen.colours.ink);
        pen.text(at(23.0), Align::Max, "shut is mono", pen::NOTE, pen.colours.note);
        row.name(self.ui, self.kit, words);
        self.y += height;
    }
}

/// Width and height of the button that begins the marking, in points.
const MARK: Vec2 = vec2(82.0, 19.0);

/// Draws them, and gives what was asked for at the chair.
pub(crate) fn draw(ui: &mut Ui, kit: Kit, room: Rect, view: &View, paused: bool) -> Option<Wish> {
    let comparison = view.comparison.as_ref();
    let plan = Plan::of(room.height(), chair_group::further_lines(&view.at_chair));
    let Plan { pitch, gap, .. } = plan;
    let mut column = Column { ui, kit, pen: kit.pen(ui), room, y: room.top(), pitch };

    column.title("Loudness", "LUFS, LU", if comparison.is_some() { "records" } else { "" });
    for row in &loudness(view, paused) {
        column.row(row, FIGURE_END);
    }
    column.y += gap;
    column.title("Dynamics", "dB", "");
    for row in &dynamics(view, plan.crest) {
        column.row(row, FIGURE_END);
    }
    column.y += gap;
    column.title("Mono", "dB", "");
    column.row(&song_fold(view), FIGURE_END);
    column.row(&fold_now(view), FIGURE_END);
    if plan.hinge > 0.0 {
        column.hinge(plan.hinge, view);
    } else {
        column.row(&correlation(view), room.width());
    }
    let (mut mark, mut confirm) = (None, None);
    if plan.chair > 0.0 {
        column.y += gap;
        mark = Some(Rect::from_min_size(pos2(room.right() - MARK.x, column.y - 1.0), MARK));
        column.title("At your chair", "", "");
        let place = Rect::from_x_y_ranges(room.x_range(), column.y..=column.y + pitch * plan.chair);
        confirm = chair_group::draw_chair(ui, kit, place, pitch, &view.at_chair);
        column.y = place.bottom();
    }
    if plan.elsewhere > 0 {
        column.y += gap;
        column.title("Elsewhere", "speakers, Hz, dB", "");
        let mut rows = chair_group::elsewhere(&view.elsewhere);
        rows.truncate(plan.elsewhere);
        // One name that needs small letters makes those of the others small too: they belong together.
        let all_fit = rows.iter().all(|row| row.fits(&column.pen, row.face, FIGURE_END));
        for mut row in rows {
            row.face = if all_fit { row.face } else { pen::SMALL };
            column.row(&row, FIGURE_END);
        }
    }
    if mark.is_some_and(|place| knob_marking::button(ui, kit, place)) {
        knob_marking::open(ui);
    }
    let is_there = confirm.is_some_and(|place| chair_group::confirm(ui, kit, place));
    is_there.then_some(Wish::ConfirmMonitor)
}

/// A figure beside the records', with a square when it lies outside records that judge it.
fn beside(
    view: &View,
    [label, unit, hint]: [&'static str; 3],
    value: Option<f64>,
    theirs: impl Fn(&RecordFigures) -> Option<[f64; 2]>,
) -> Row {
    let comparison = view.comparison.as_ref();
    let records = comparison.and_then(|comparison| theirs(&comparison.figures));
    let row = Row::plain(label, text::figure(value), unit, hint).with_records(records);
    row.judged(value, comparison.is_some_and(Comparison::judges))
}

fn loudness(view: &View, paused: bool) -> Vec<Row> {
    let lufs = |label, value: Option<Lufs>, hint| {
        Row::plain(label, text::figure(value.map(|lufs| lufs.0)), "LUFS", hint)
    };
    let mut pass = lufs("this pass", view.integrated, "Integrated loudness since this pass began, in LUFS.");
    if paused {
        pass.beside = vec!["held".into()];
    }
    let range = ["range", "LU", "Loudness range of the song, in LU: how far its loudness moves."];
    vec![
        short_term(view),
        pass,
        lufs(
            "song",
            view.song.integrated,
            "Integrated loudness of the song as far as it has been heard, in LUFS.",
        ),
        beside(view, range, view.song.range_lu, |records| records.range_lu),
    ]
}

fn dynamics(view: &View, with_crest: bool) -> Vec<Row> {
    let hint = "PLR, in dB: the song’s highest true peak over its integrated loudness.";
    let plr = view.song.plr.map(|db| db.0);
    let whole = beside(view, ["whole song", "dB", hint], plr, |records| records.plr_db);
    let hint = "Crest factor, in dB: the song’s highest sample over its mean level, both unweighted. Less is denser.";
    let crest = view.song.crest.map(|db| db.0);
    let crest = beside(view, ["crest factor", "dB", hint], crest, |records| records.crest_db);
    let mut rows = vec![loud_parts(view), whole];
    rows.extend(with_crest.then_some(crest));
    rows.push(true_peak(view));
    rows
}

pub(crate) fn short_term(view: &View) -> Row {
    let figure = text::figure(view.short_term.map(|lufs| lufs.0));
    Row::plain("short-term", figure, "LUFS", "Loudness of the last 3 s, in LUFS.")
}

pub(crate) fn loud_parts(view: &View) -> Row {
    let value = view.song.psr_loud.map(|db| db.0);
    let hint = "How far peaks stand over the loudness where the song is loudest (PSR, in dB: true peak over short-term loudness, \
         the median over the loudest 30 s). Less is denser.";
    beside(view, ["loud parts", "dB", hint], value, |records| records.psr_loud_db)
}

fn true_peak(view: &View) -> Row {
    let value = view.song.true_peak_dbtp.map(|db| db.0);
    let hint = "The song’s highest true peak, in dBTP. An over is a tenth of a second above 0.";
    let mut row = Row::plain("true peak", text::figure(value), "dBTP", hint);
    match view.song.health.overs {
        0 => {}
        1 => row.beside = vec!["1 over".into()],
        overs => row.beside = vec![format!("{overs} overs"), "many overs".into()],
    }
    if !row.beside.is_empty() {
        row.sign = Sign::Over;
    }
    row
}

/// Whether the song's fold lies below that of records that it can be judged by.
pub(crate) fn fold_is_below(view: &View) -> bool {
    let fold = view.song.fold;
    let judging = view.comparison.as_ref().filter(|comparison| comparison.judges());
    judging.and_then(|comparison| comparison.figures.fold_db).is_some_and(|[low, _]| match fold.db() {
        Some(db) => db.0 < low - SAME_DB,
        None => fold.kept == Some(0.0),
    })
}

/// The song's fold, with a ring when it lies below the records.
pub(crate) fn song_fold(view: &View) -> Row {
    let hint = "How much louder or softer the song is in mono, in dB: 0 loses nothing, −3 is what unrelated sides lose.";
    let records = view.comparison.as_ref().and_then(|comparison| comparison.figures.fold_db);
    let mut row = Row::plain("fold, song", text::fold(view.song.fold), "dB", hint).with_records(records);
    if fold_is_below(view) {
        row.sign = Sign::Ring;
    }
    row
}

fn fold_now(view: &View) -> Row {
    Row::plain("fold, 3 s", text::fold(view.fold), "dB", "The same of the last 3 s, in dB.")
}

fn correlation(view: &View) -> Row {
    let hint = "How alike the sides are over the last 3 s: +1 the same, 0 unrelated, −1 opposite.";
    Row::plain("correlation, 3 s", text::correlation(view.correlation), "", hint)
}

#[cfg(test)]
mod tests {
    use candlemark_session::figures::{Health, SongFigures};

    use super::*;

    #[test]
    fn true_peak_tells_how_many_overs() {
        let of = |overs| {
            let health = Health { overs, ..Health::default() };
            let song = SongFigures { health, ..SongFigures::default() };
            true_peak(&View { song: song.into(), ..View::default() }).beside
        };
        assert!(of(0).is_empty());
        assert_eq!(of(1), ["1 over"]);
        assert_eq!(of(12)[0], "12 overs");
    }
}
