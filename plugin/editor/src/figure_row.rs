//! A figure in its row: its name, the figure, and what the records have beside it; and the same in a sentence.

use candlemark_session::comparison::is_outside;
use egui::{Align, Color32, Pos2, Rect, Ui, pos2};

use crate::palette::Colours;
use crate::pen::{self, Face, Kit, Pen};
use crate::text;

/// Between a figure and what stands beside it.
const BESIDE_GAP: f32 = 4.0;
/// Between a name and what follows it.
const LABEL_GAP: f32 = 6.0;
/// What a sign takes before a figure.
const SIGN: f32 = 13.0;

/// What a figure's colour says, with what stands before it or beside it.
#[derive(Clone, Copy, PartialEq)]
pub(crate) enum Sign {
    None,
    /// Outside the records.
    Square,
    /// Mono leaves it.
    Ring,
    /// Over the line, which is told beside it and not by a sign.
    Over,
}

impl Sign {
    /// What a figure with it is written in.
    pub(crate) fn colour(self, colours: &Colours) -> Color32 {
        match self {
            Self::None => colours.ink,
            Self::Square => colours.outside,
            Self::Ring | Self::Over => colours.accent,
        }
    }

    /// Draws it around a point, a ring in a line of so much width.
    pub(crate) fn draw(self, pen: &Pen, at: Pos2, radius: f32, width: f32) {
        match self {
            Self::None | Self::Over => {}
            Self::Square => pen.square(at, radius, self.colour(pen.colours)),
            Self::Ring => pen.ring(at, radius, width, self.colour(pen.colours)),
        }
    }
}

pub(crate) struct Row {
    pub(crate) label: &'static str,
    /// How its name is set, where there is room.
    pub(crate) face: Face,
    pub(crate) figure: String,
    /// As it is read after the figure.
    pub(crate) unit: &'static str,
    /// What stands beside it: the first that fits.
    pub(crate) beside: Vec<String>,
    /// The records' lowest and highest.
    pub(crate) records: Option<[f64; 2]>,
    pub(crate) sign: Sign,
    /// What it is, for whoever rests the pointer on it.
    pub(crate) hint: &'static str,
}

impl Row {
    pub(crate) fn plain(label: &'static str, figure: String, unit: &'static str, hint: &'static str) -> Self {
        let (face, beside, records, sign) = (pen::LABEL, Vec::new(), None, Sign::None);
        Self { label, face, figure, unit, beside, records, sign, hint }
    }

    /// The same beside the records' range.
    pub(crate) fn with_records(mut self, records: Option<[f64; 2]>) -> Self {
        self.records = records;
        self.beside =
            records.map(|range| vec![text::range(range, 1), text::range(range, 0)]).unwrap_or_default();
        self
    }

    /// The same with a square when it lies outside records that judge it.
    pub(crate) fn judged(mut self, value: Option<f64>, judges: bool) -> Self {
        let is_beyond = |(value, records)| is_outside(value, records);
        if judges && value.zip(self.records).is_some_and(is_beyond) {
            self.sign = Sign::Square;
        }
        self
    }

    /// In a sentence: what a reader of screens is told.
    pub(crate) fn said(&self) -> String {
        let Self { label, figure, unit, records, .. } = self;
        let is = match figure.as_str() {
            text::UNDEFINED => "nothing yet".into(),
            "lost" => "lost in mono".into(),
            figure if unit.is_empty() => figure.to_owned(),
            figure => format!("{figure} {unit}"),
        };
        let beside = match (records, self.beside.first()) {
            (Some([low, high]), _) => format!(", the records’ {}", text::range_in_words([*low, *high])),
            (None, Some(beside)) => format!(", {beside}"),
            (None, None) => String::new(),
        };
        let judged = match self.sign {
            Sign::None | Sign::Over => "",
            Sign::Square => ": outside",
            Sign::Ring => ": below theirs",
        };
        format!("{label}: {is}{beside}{judged}")
    }

    /// For whoever rests the pointer on it.
    fn hover(&self) -> String {
        let theirs = "On the right, from the lowest to the highest of the records.";
        let square = "A square: outside them.";
        match (self.records, self.sign) {
            (None, _) => self.hint.to_owned(),
            (Some(_), Sign::Square) => format!("{} {theirs} {square}", self.hint),
            (Some(_), _) => format!("{} {theirs}", self.hint),
        }
    }

    /// Gives its place its words.
    pub(crate) fn name(&self, ui: &Ui, kit: Kit, place: Rect) {
        let response = kit.label(ui, place, ("figure", self.label), &self.said());
        if !self.hint.is_empty() {
            response.on_hover_text(self.hover());
        }
    }

    /// Whether its name set like this ends before its figure.
    pub(crate) fn fits(&self, pen: &Pen, face: Face, figure_end: f32) -> bool {
        let sign = if matches!(self.sign, Sign::None | Sign::Over) { 0.0 } else { SIGN };
        let space = figure_end - pen.width(&self.figure, pen::FIGURE) - sign - LABEL_GAP;
        pen.width(self.label, face) <= space
    }

    /// Draws it in a place, with the figure's end so far from the left.
    pub(crate) fn draw(&self, pen: &Pen, place: Rect, figure_end: f32) {
        let baseline = place.center().y + 6.0;
        let sets = [self.face, pen::NOTE];
        let face = sets.into_iter().find(|face| self.fits(pen, *face, figure_end)).unwrap_or(pen::SMALL);
        pen.text(pos2(place.left(), baseline), Align::Min, self.label, face, pen.colours.note);
        let end = pos2(place.left() + figure_end, baseline);
        let colour = self.sign.colour(pen.colours);
        let figure = pen.text(end, Align::Max, &self.figure, pen::FIGURE, colour);
        self.sign.draw(pen, pos2(figure.left() - 9.0, baseline - 6.0), 4.0, 1.8);
        let space = place.right() - figure.right() - BESIDE_GAP;
        let at = pos2(place.right(), baseline);
        pen.text_that_fits(at, Align::Max, &self.beside, pen::NOTE, space, pen.colours.note);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_row_is_said_as_it_is_read() {
        let row = |value: Option<f64>| Row::plain("range", text::figure(value), "LU", "");
        assert_eq!(row(Some(5.1)).said(), "range: 5.1 LU");
        assert_eq!(row(None).said(), "range: nothing yet");
        let beside = row(Some(5.1)).with_records(Some([6.0, 9.0]));
        assert_eq!(beside.said(), "range: 5.1 LU, the records’ 6.0 to 9.0");
        assert_eq!(beside.judged(Some(5.1), true).said(), "range: 5.1 LU, the records’ 6.0 to 9.0: outside");
    }
}
