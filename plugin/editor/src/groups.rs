//! The groups of figures, with the records' range beside each: loudness, dynamics, mono, the chair, elsewhere.

use candlemark_analysis::Lufs;
use candlemark_session::comparison::{Comparison, RecordFigures};
use candlemark_session::view::View;
use candlemark_session::words::SAME_DB;
use egui::{Align, Id, Rect, Ui, pos2};

use crate::column_plan::{Plan, TITLE_ROWS};
use crate::figure_row::{Row, Sign};
use crate::pen::{self, Kit, Pen};
use crate::{chair_group, hinge, text};

/// Figures end here, from the column's left.
const FIGURE_END: f32 = 134.0;

struct Column<'a> {
    ui: &'a Ui,
    kit: Kit,
    pen: Pen<'a>,
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
        let named = self.kit.label(self.ui, hinge, Id::unique("the hinge"), &said);
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

/// What can be pressed in the group of the chair.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct ChairPlaces {
    /// Where to answer whether the monitor knob is where it is marked, where that is asked.
    pub(crate) confirm: Option<Rect>,
    /// Where its marking begins.
    pub(crate) mark: Option<Rect>,
}

/// Width and height of the button that begins the marking, in points.
const MARK: [f32; 2] = [82.0, 19.0];

/// Draws them. Gives what can be pressed.
pub(crate) fn draw(ui: &Ui, kit: Kit, room: Rect, view: &View, paused: bool) -> ChairPlaces {
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
    let mut places = ChairPlaces::default();
    if plan.chair > 0.0 {
        column.y += gap;
        let [width, height] = MARK;
        let right = room.with_min_x(room.right() - width);
        places.mark = Some(right.with_min_y(column.y - 1.0).with_max_y(column.y - 1.0 + height));
        column.title("At your chair", "", "");
        let place = Rect::from_x_y_ranges(room.x_range(), column.y..=column.y + pitch * plan.chair);
        places.confirm = chair_group::draw_chair(ui, kit, place, pitch, &view.at_chair);
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
    places
}

fn records(view: &View) -> (RecordFigures, bool) {
    let comparison = view.comparison.as_ref();
    let records = comparison.map(|comparison| comparison.figures).unwrap_or_default();
    (records, comparison.is_some_and(Comparison::judges))
}

fn loudness(view: &View, paused: bool) -> Vec<Row> {
    let (records, judges) = records(view);
    let lufs = |label, value: Option<Lufs>, hint| {
        Row::plain(label, text::figure(value.map(|lufs| lufs.0)), "LUFS", hint)
    };
    let mut pass = lufs("this pass", view.integrated, "Integrated loudness since this pass began, in LUFS.");
    if paused {
        pass.beside = vec!["held".into()];
    }
    let range = view.song.range_lu;
    vec![
        short_term(view),
        pass,
        lufs(
            "song",
            view.song.integrated,
            "Integrated loudness of the song as far as it has been heard, in LUFS.",
        ),
        Row::plain(
            "range",
            text::figure(range),
            "LU",
            "Loudness range of the song, in LU: how far its loudness moves.",
        )
        .with_records(records.range_lu)
        .judged(range, judges),
    ]
}

fn dynamics(view: &View, with_crest: bool) -> Vec<Row> {
    let (records, judges) = records(view);
    let plr = view.song.plr.map(|db| db.0);
    let whole = "PLR, in dB: the song’s highest true peak over its integrated loudness.";
    let crest = view.song.crest.map(|db| db.0);
    let unweighted = "Crest factor, in dB: the song’s highest sample over its mean level, both unweighted. Less is denser.";
    let crest = Row::plain("crest factor", text::figure(crest), "dB", unweighted)
        .with_records(records.crest_db)
        .judged(crest, judges);
    let mut rows = vec![
        loud_parts(view),
        Row::plain("whole song", text::figure(plr), "dB", whole)
            .with_records(records.plr_db)
            .judged(plr, judges),
    ];
    rows.extend(with_crest.then_some(crest));
    rows.push(true_peak(view));
    rows
}

pub(crate) fn short_term(view: &View) -> Row {
    let figure = text::figure(view.short_term.map(|lufs| lufs.0));
    Row::plain("short-term", figure, "LUFS", "Loudness of the last 3 s, in LUFS.")
}

pub(crate) fn loud_parts(view: &View) -> Row {
    let (records, judges) = records(view);
    let value = view.song.psr_loud.map(|db| db.0);
    let hint = "How far peaks stand over the loudness where the song is loudest (PSR, in dB: true peak over short-term loudness, \
         the median over the loudest 30 s). Less is denser.";
    let row = Row::plain("loud parts", text::figure(value), "dB", hint);
    row.with_records(records.psr_loud_db).judged(value, judges)
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
    let (records, _) = records(view);
    let mut row = Row::plain("fold, song", text::fold(view.song.fold), "dB", hint);
    row = row.with_records(records.fold_db);
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
