//! The three groups of figures, with the records' range beside each: loudness, dynamics, mono.

use candlemark_analysis::Db;
use candlemark_session::comparison::{Comparison, RecordFigures};
use candlemark_session::view::View;
use egui::{Align, Rangef, Rect, Stroke, pos2, vec2};

use crate::pen::{self, Pen};
use crate::{hinge, text};

/// Figures end here, from the column's left.
const FIGURE_END: f32 = 134.0;
/// Half of the tenth to which figures are printed: closer is the same.
const SAME: f64 = 0.05;
/// Between a figure and what stands beside it.
const BESIDE_GAP: f32 = 4.0;
/// Between two groups at least, where the hinge is shown.
const BETWEEN_GROUPS: f32 = 8.0;
const ROWS: f32 = 10.0;
const TITLES: f32 = 3.0;
/// A heading is so many rows high.
const TITLE_ROWS: f32 = 1.3;
/// The least and the greatest height of the hinge, in points.
const HINGE: Rangef = Rangef { min: 70.0, max: 118.0 };

/// What stands before a figure.
#[derive(Clone, Copy, PartialEq)]
enum Sign {
    None,
    /// Outside the records.
    Square,
    /// Mono leaves it.
    Ring,
}

/// What a figure's colour says, with its sign or what stands beside it.
#[derive(Clone, Copy)]
enum Tone {
    Plain,
    Outside,
    Mono,
    Over,
}

struct Row {
    label: &'static str,
    figure: String,
    /// What stands beside it: the first that fits.
    beside: Vec<String>,
    sign: Sign,
    tone: Tone,
}

impl Row {
    fn plain(label: &'static str, figure: String) -> Self {
        Self { label, figure, beside: Vec::new(), sign: Sign::None, tone: Tone::Plain }
    }

    /// A figure beside the records' range, with a square when it lies outside.
    fn beside(label: &'static str, value: Option<f64>, range: Option<[f64; 2]>, judged: bool) -> Self {
        let outside = judged && lies_outside(value, range);
        Self {
            label,
            figure: text::figure(value),
            beside: range.map(ranges).unwrap_or_default(),
            sign: if outside { Sign::Square } else { Sign::None },
            tone: if outside { Tone::Outside } else { Tone::Plain },
        }
    }
}

fn ranges(range: [f64; 2]) -> Vec<String> {
    vec![text::range(range, 1), text::range(range, 0)]
}

fn lies_outside(value: Option<f64>, range: Option<[f64; 2]>) -> bool {
    matches!((value, range), (Some(value), Some([low, high])) if value < low - SAME || value > high + SAME)
}

struct Column<'a> {
    pen: &'a Pen<'a>,
    room: Rect,
    y: f32,
    pitch: f32,
}

impl Column<'_> {
    fn title(&mut self, title: &str, unit: &str, right: &str) {
        let baseline = self.y + 14.0;
        let place = self.pen.text(
            pos2(self.room.left(), baseline),
            Align::Min,
            title,
            pen::TITLE,
            self.pen.colours.ink,
        );
        self.pen.text(
            pos2(place.right() + 6.0, baseline),
            Align::Min,
            unit,
            pen::NOTE,
            self.pen.colours.note,
        );
        self.pen.text(pos2(self.room.right(), baseline), Align::Max, right, pen::NOTE, self.pen.colours.note);
        self.pen.across(self.room.x_range(), baseline + 7.0, 1.0, self.pen.colours.rule);
        self.y += self.pitch * TITLE_ROWS;
    }

    fn row(&mut self, row: &Row, figure_end: f32) {
        let baseline = self.y + self.pitch * 0.5 + 6.0;
        let left = self.room.left();
        self.pen.text(pos2(left, baseline), Align::Min, row.label, pen::LABEL, self.pen.colours.note);
        let end = pos2(left + figure_end, baseline);
        let colour = match row.tone {
            Tone::Plain => self.pen.colours.ink,
            Tone::Outside => self.pen.colours.outside,
            Tone::Mono | Tone::Over => self.pen.colours.accent,
        };
        let figure = self.pen.text(end, Align::Max, &row.figure, pen::FIGURE, colour);
        let before = pos2(figure.left() - 9.0, baseline - 6.0);
        match row.sign {
            Sign::None => {}
            Sign::Square => {
                let place = Rect::from_center_size(before, vec2(8.0, 8.0));
                self.pen.painter.rect_filled(place, 0.0, colour);
            }
            Sign::Ring => {
                self.pen.painter.circle_stroke(before, 4.0, Stroke::new(1.8, colour));
            }
        }
        let space = self.room.right() - figure.right() - BESIDE_GAP;
        if let Some(beside) = self.pen.first_that_fits(&row.beside, pen::NOTE, space) {
            self.pen.text(
                pos2(self.room.right(), baseline),
                Align::Max,
                beside,
                pen::NOTE,
                self.pen.colours.note,
            );
        }
        self.y += self.pitch;
    }
}

pub(crate) fn draw(pen: &Pen, room: Rect, view: &View, paused: bool) {
    let comparison = view.comparison.as_ref();
    let records = comparison.map(|comparison| comparison.figures).unwrap_or_default();
    let judged = comparison.is_some_and(Comparison::judges);
    let pitch = (room.height() / 22.0).clamp(22.0, 32.0);
    let rows = pitch * (ROWS + TITLES * TITLE_ROWS);
    // Where there is no room for it, its figure tells the same.
    let left = room.height() - rows - 2.0 * BETWEEN_GROUPS;
    let hinge_height = if left < HINGE.min { 0.0 } else { HINGE.clamp(left) };
    let gap = ((room.height() - rows - hinge_height) / 2.0).max(0.0);
    let mut column = Column { pen, room, y: room.top(), pitch };

    let song = &view.song;
    column.title("Loudness", "LUFS, LU", if comparison.is_some() { "records" } else { "" });
    column.row(&Row::plain("short-term", text::figure(view.short_term.map(|lufs| lufs.0))), FIGURE_END);
    let mut pass = Row::plain("this pass", text::figure(view.integrated.map(|lufs| lufs.0)));
    if paused {
        pass.beside = vec!["paused".into()];
    }
    column.row(&pass, FIGURE_END);
    column.row(&Row::plain("song", text::figure(song.integrated.map(|lufs| lufs.0))), FIGURE_END);
    column.row(&Row::beside("range", song.range_lu, records.range_lu, judged), FIGURE_END);
    column.y += gap;

    let db = |db: Option<Db>| db.map(|db| db.0);
    column.title("Dynamics", "dB", "");
    column.row(&Row::beside("loud parts", db(song.psr_loud), records.psr_loud_db, judged), FIGURE_END);
    column.row(&Row::beside("whole song", db(song.plr), records.plr_db, judged), FIGURE_END);
    column.row(&true_peak(view), FIGURE_END);
    column.y += gap;

    column.title("Mono", "dB", "");
    column.row(&song_fold(view, &records), FIGURE_END);
    column.row(&Row::plain("fold, 3 s", text::fold(view.fold)), FIGURE_END);
    let correlation = Row::plain("correlation, 3 s", text::correlation(view.correlation));
    column.row(&correlation, room.width());
    let hinge_room = Rect::from_x_y_ranges(room.x_range(), column.y + 4.0..=column.y + hinge_height);
    if hinge_height > 0.0 {
        hinge::draw(pen, hinge_room, view.correlation);
    }
}

fn true_peak(view: &View) -> Row {
    let value = view.song.true_peak_dbtp.map(|db| db.0);
    let mut row = Row::plain("true peak", text::figure(value));
    match view.song.health.overs {
        0 => {}
        1 => row.beside = vec!["1 over".into()],
        overs => row.beside = vec![format!("{overs} overs"), "many overs".into()],
    }
    if !row.beside.is_empty() {
        row.tone = Tone::Over;
    }
    row
}

/// Whether the song's fold lies below that of records that it can be judged by.
pub(crate) fn fold_is_below(view: &View) -> bool {
    let fold = view.song.fold;
    let judging = view.comparison.as_ref().filter(|comparison| comparison.judges());
    judging.and_then(|comparison| comparison.figures.fold_db).is_some_and(|[low, _]| match fold.db() {
        Some(db) => db.0 < low - SAME,
        None => fold.kept == Some(0.0),
    })
}

/// The song's fold, with a ring when it lies below the records.
fn song_fold(view: &View, records: &RecordFigures) -> Row {
    let fold = view.song.fold;
    let mut row = Row::plain("fold, song", text::fold(fold));
    row.beside = records.fold_db.map(|[low, high]| ranges([high, low])).unwrap_or_default();
    if fold_is_below(view) {
        (row.sign, row.tone) = (Sign::Ring, Tone::Mono);
    }
    row
}

#[cfg(test)]
mod tests {
    use candlemark_session::figures::{Health, SongFigures};

    use super::*;

    #[test]
    fn what_is_printed_alike_is_not_outside() {
        let range = Some([6.0, 9.0]);
        assert!(!lies_outside(Some(5.96), range));
        assert!(lies_outside(Some(5.9), range));
        assert!(lies_outside(Some(9.1), range));
        assert!(!lies_outside(None, range));
        assert!(!lies_outside(Some(1.0), None));
    }

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
