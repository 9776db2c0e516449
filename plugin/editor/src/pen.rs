//! The pen: text by its baseline, and the few lines that every part of the picture draws.

use std::sync::Arc;

use egui::{Align, Color32, FontId, Galley, Painter, Pos2, Rangef, Rect, Shape, Stroke, pos2, vec2};

use crate::dress::bold;
use crate::palette::Colours;

/// How a text is set: its size in points, and its weight.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Face {
    size: f32,
    bold: bool,
}

/// Headings.
pub(crate) const TITLE: Face = Face { size: 14.0, bold: true };
/// Figures that are read at a glance.
pub(crate) const FIGURE: Face = Face { size: 17.0, bold: true };
/// What is said of a dimmed picture.
pub(crate) const WAKING: Face = Face { size: 17.0, bold: false };
/// Sentences.
pub(crate) const SENTENCE: Face = Face { size: 15.0, bold: false };
/// Names of figures.
pub(crate) const LABEL: Face = Face { size: 13.0, bold: false };
/// Scales and legends.
pub(crate) const NOTE: Face = Face { size: 12.0, bold: false };
/// Figures beside a mark.
pub(crate) const MARK: Face = Face { size: 11.5, bold: true };

impl Face {
    /// Letters of so many points.
    pub(crate) const fn new(size: f32, bold: bool) -> Self {
        Self { size, bold }
    }

    fn font(self) -> FontId {
        if self.bold { FontId::new(self.size, bold()) } else { FontId::proportional(self.size) }
    }
}

pub(crate) struct Pen<'a> {
    pub(crate) painter: &'a Painter,
    pub(crate) colours: &'static Colours,
}

impl Pen<'_> {
    fn galley(&self, text: &str, face: Face, colour: Color32) -> Arc<Galley> {
        self.painter.layout_no_wrap(text.to_owned(), face.font(), colour)
    }

    /// Width of a text, in points.
    pub(crate) fn width(&self, text: &str, face: Face) -> f32 {
        self.galley(text, face, Color32::WHITE).size().x
    }

    /// Writes one line that starts at, is centred on, or ends at a point on its baseline; gives the place it
    /// takes.
    pub(crate) fn text(&self, at: Pos2, align: Align, text: &str, face: Face, colour: Color32) -> Rect {
        let galley = self.galley(text, face, colour);
        let first = galley.rows.first();
        let rise =
            first.and_then(|row| row.glyphs.first().map(|glyph| row.pos.y + glyph.pos.y)).unwrap_or_default();
        let before = galley.size().x * align.to_factor();
        let place = Rect::from_min_size(at - vec2(before, rise), galley.size());
        self.painter.galley(place.min, galley, colour);
        place
    }

    /// Writes one line in the middle of a place.
    pub(crate) fn text_within(&self, place: Rect, text: &str, face: Face, colour: Color32) {
        let galley = self.galley(text, face, colour);
        let corner = place.center() - galley.size() / 2.0;
        self.painter.galley(corner, galley, colour);
    }

    /// A text broken into lines of at most `width` points.
    pub(crate) fn paragraph(&self, text: &str, face: Face, colour: Color32, width: f32) -> Arc<Galley> {
        self.painter.layout(text.to_owned(), face.font(), colour, width)
    }

    /// The first of the texts that is at most `width` points wide.
    pub(crate) fn first_that_fits<'t>(&self, texts: &'t [String], face: Face, width: f32) -> Option<&'t str> {
        texts.iter().find(|text| self.width(text, face) <= width).map(String::as_str)
    }

    pub(crate) fn across(&self, x: impl Into<Rangef>, y: f32, width: f32, colour: Color32) {
        self.painter.hline(x, y, Stroke::new(width, colour));
    }

    pub(crate) fn down(&self, x: f32, y: impl Into<Rangef>, width: f32, colour: Color32) {
        self.painter.vline(x, y, Stroke::new(width, colour));
    }

    pub(crate) fn line(&self, from: Pos2, to: Pos2, width: f32, colour: Color32) {
        self.painter.line_segment([from, to], Stroke::new(width, colour));
    }

    /// A thick upright line with round ends, which lie inside `y`.
    pub(crate) fn rod(&self, x: f32, y: Rangef, width: f32, colour: Color32) {
        let half = width / 2.0;
        let place = Rect::from_x_y_ranges(x - half..=x + half, y.min.min(y.max - width)..=y.max);
        self.painter.rect_filled(place, half, colour);
    }

    pub(crate) fn dotted(&self, path: &[Pos2], colour: Color32) {
        self.painter.extend(Shape::dotted_line(path, colour, 4.0, 0.8));
    }
}

/// The place of a text of this size around a point.
pub(crate) fn around(centre: Pos2, width: f32, height: f32) -> Rect {
    Rect::from_center_size(pos2(centre.x, centre.y), vec2(width, height))
}
