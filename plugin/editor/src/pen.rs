//! The pen: text by its baseline, and the few lines that every part of the picture draws.
//!
//! It draws in designed points. In a large window each of them is more than one of the window's.

use std::sync::Arc;

use egui::emath::TSTransform;
use egui::epaint::CircleShape;
use egui::text::LayoutJob;
use egui::{
    Align, AsIdSalt, Button, Color32, FontId, Galley, Id, Painter, Pos2, Rangef, Rect, Response, Role, Sense,
    Shape, Stroke, StrokeKind, Ui, UiBuilder, Vec2, WidgetInfo, pos2, vec2,
};

use crate::dress::bold;
use crate::palette::Colours;

/// How a text is set: its size in points, and its weight.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Face {
    pub(crate) size: f32,
    pub(crate) bold: bool,
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
/// Names for which there is little room.
pub(crate) const SMALL: Face = Face { size: 11.0, bold: false };
/// Figures beside a mark.
pub(crate) const MARK: Face = Face { size: 11.5, bold: true };

impl Face {
    fn font(self, grow: f32) -> FontId {
        let size = self.size * grow;
        if self.bold { FontId::new(size, bold()) } else { FontId::proportional(size) }
    }
}

/// What every pen of a picture draws with.
#[derive(Clone, Copy)]
pub(crate) struct Kit {
    pub(crate) colours: &'static Colours,
    /// So many of the window's points are a designed one.
    pub(crate) grow: f32,
}

impl Kit {
    pub(crate) fn pen(self, ui: &Ui) -> Pen {
        Pen { painter: ui.painter().clone(), colours: self.colours, grow: self.grow }
    }

    /// A place in the window's points.
    pub(crate) fn in_window(self, place: Rect) -> Rect {
        place * self.grow
    }

    /// The same of one of the window's points, in designed ones.
    pub(crate) fn designed(self, at: Pos2) -> Pos2 {
        at / self.grow
    }

    /// Makes a place one that is pointed at or pressed, with the words that a reader of screens says there.
    pub(crate) fn interact(
        self,
        ui: &Ui,
        place: Rect,
        name: impl AsIdSalt,
        sense: Sense,
        role: Role,
        words: &str,
    ) -> Response {
        let response = ui.interact(self.in_window(place), Id::unique(name), sense);
        response.widget_info(|| WidgetInfo::labeled(role, true, words));
        response
    }

    /// Gives a place the words that a reader of screens says there. It takes no click and no focus.
    pub(crate) fn label(self, ui: &Ui, place: Rect, name: impl AsIdSalt, words: &str) -> Response {
        self.interact(ui, place, name, Sense::hover(), Role::Label, words)
    }

    /// Puts a button in a place, with what a reader of screens calls it. Gives whether it was pressed.
    pub(crate) fn button(self, ui: &mut Ui, place: Rect, button: Button, hint: &str, name: &str) -> bool {
        let response = ui.put(self.in_window(place), button).on_hover_text(hint);
        response.widget_info(|| WidgetInfo::labeled(Role::Button, true, name));
        response.clicked()
    }

    /// A part of the window in which egui lays out its own.
    pub(crate) fn part(self, name: impl AsIdSalt, place: Rect) -> UiBuilder {
        UiBuilder::new().id_salt(name).max_rect(self.in_window(place))
    }
}

pub(crate) struct Pen {
    painter: Painter,
    pub(crate) colours: &'static Colours,
    grow: f32,
}

impl Pen {
    /// The same, clipped to a place.
    pub(crate) fn clip(&self, place: Rect) -> Self {
        let place = (place * self.grow).intersect(self.painter.clip_rect());
        Self { painter: self.painter.with_clip_rect(place), ..*self }
    }

    /// What it is clipped to.
    pub(crate) fn clip_rect(&self) -> Rect {
        self.painter.clip_rect() / self.grow
    }

    fn galley(&self, text: &str, face: Face, colour: Color32) -> Arc<Galley> {
        self.painter.layout_no_wrap(text.to_owned(), face.font(self.grow), colour)
    }

    /// Size of a text that is laid out, in points.
    pub(crate) fn size(&self, galley: &Galley) -> Vec2 {
        galley.size() / self.grow
    }

    /// Writes what is laid out, its upper left corner here.
    pub(crate) fn write(&self, corner: Pos2, galley: Arc<Galley>) {
        self.painter.galley(corner * self.grow, galley, self.colours.ink);
    }

    pub(crate) fn add(&self, mut shape: Shape) {
        shape.transform(TSTransform::from_scaling(self.grow));
        self.painter.add(shape);
    }

    pub(crate) fn fill(&self, place: Rect, colour: Color32) {
        self.add(Shape::rect_filled(place, 0.0, colour));
    }

    pub(crate) fn disc(&self, centre: Pos2, radius: f32, colour: Color32) {
        self.add(Shape::circle_filled(centre, radius, colour));
    }

    pub(crate) fn ring(&self, centre: Pos2, radius: f32, width: f32, colour: Color32) {
        self.add(Shape::circle_stroke(centre, radius, Stroke::new(width, colour)));
    }

    /// A ring with a ground of its own inside it.
    pub(crate) fn filled_ring(&self, center: Pos2, radius: f32, width: f32, [fill, colour]: [Color32; 2]) {
        let stroke = Stroke::new(width, colour);
        self.add(CircleShape { center, radius, fill, stroke }.into());
    }

    /// A square around a point, as wide as a disc of this radius.
    pub(crate) fn square(&self, centre: Pos2, radius: f32, colour: Color32) {
        self.fill(Rect::from_center_size(centre, Vec2::splat(2.0 * radius)), colour);
    }

    /// A place filled by what its corners go around.
    pub(crate) fn polygon(&self, corners: Vec<Pos2>, colour: Color32) {
        self.add(Shape::convex_polygon(corners, colour, Stroke::NONE));
    }

    /// A line around a place, inside it.
    pub(crate) fn frame(&self, place: Rect, width: f32, colour: Color32) {
        self.add(Shape::rect_stroke(place, 0.0, Stroke::new(width, colour), StrokeKind::Inside));
    }

    /// Width of a text, in points.
    pub(crate) fn width(&self, text: &str, face: Face) -> f32 {
        self.size(&self.galley(text, face, Color32::WHITE)).x
    }

    /// Writes one line that starts at, is centred on, or ends at a point on its baseline; gives the place it
    /// takes.
    pub(crate) fn text(&self, at: Pos2, align: Align, text: &str, face: Face, colour: Color32) -> Rect {
        let galley = self.galley(text, face, colour);
        let first = galley.rows.first();
        let rise =
            first.and_then(|row| row.glyphs.first().map(|glyph| row.pos.y + glyph.pos.y)).unwrap_or_default();
        let size = self.size(&galley);
        let before = size.x * align.to_factor();
        let place = Rect::from_min_size(at - vec2(before, rise / self.grow), size);
        self.write(place.min, galley);
        place
    }

    /// Writes one line in the middle of a place.
    pub(crate) fn text_within(&self, place: Rect, text: &str, face: Face, colour: Color32) {
        let galley = self.galley(text, face, colour);
        self.write(place.center() - self.size(&galley) / 2.0, galley);
    }

    /// A text broken into lines of at most `width` points.
    pub(crate) fn paragraph(&self, text: &str, face: Face, colour: Color32, width: f32) -> Arc<Galley> {
        self.paragraph_of(text, face, colour, width, usize::MAX)
    }

    /// The same in so many lines at most; what they do not hold is cut short, and an ellipsis says so.
    pub(crate) fn paragraph_of(
        &self,
        text: &str,
        face: Face,
        colour: Color32,
        width: f32,
        lines: usize,
    ) -> Arc<Galley> {
        let mut job = LayoutJob::simple(text.to_owned(), face.font(self.grow), colour, width * self.grow);
        job.wrap.max_rows = lines;
        self.painter.layout_job(job)
    }

    /// The first of the texts that is at most `width` points wide.
    pub(crate) fn first_that_fits<'t>(
        &self,
        texts: &'t [impl AsRef<str>],
        face: Face,
        width: f32,
    ) -> Option<&'t str> {
        texts.iter().map(AsRef::as_ref).find(|text| self.width(text, face) <= width)
    }

    /// Writes that one where [`Pen::text`] would; gives the place it takes, where there is one.
    pub(crate) fn text_that_fits(
        &self,
        at: Pos2,
        align: Align,
        texts: &[impl AsRef<str>],
        face: Face,
        width: f32,
        colour: Color32,
    ) -> Option<Rect> {
        let words = self.first_that_fits(texts, face, width)?;
        Some(self.text(at, align, words, face, colour))
    }

    pub(crate) fn across(&self, x: impl Into<Rangef>, y: f32, width: f32, colour: Color32) {
        let x = x.into();
        self.line(pos2(x.min, y), pos2(x.max, y), width, colour);
    }

    pub(crate) fn down(&self, x: f32, y: impl Into<Rangef>, width: f32, colour: Color32) {
        let y = y.into();
        self.line(pos2(x, y.min), pos2(x, y.max), width, colour);
    }

    pub(crate) fn line(&self, from: Pos2, to: Pos2, width: f32, colour: Color32) {
        self.add(Shape::line_segment([from, to], Stroke::new(width, colour)));
    }

    /// A thick upright line with round ends, which lie inside `y`.
    pub(crate) fn rod(&self, x: f32, y: Rangef, width: f32, colour: Color32) {
        let half = width / 2.0;
        let place = Rect::from_x_y_ranges(x - half..=x + half, y.min.min(y.max - width)..=y.max);
        self.add(Shape::rect_filled(place, half, colour));
    }

    pub(crate) fn dotted(&self, path: &[Pos2], colour: Color32) {
        self.add(Shape::Vec(Shape::dotted_line(path, colour, 4.0, 0.8)));
    }

    /// A dashed line down.
    pub(crate) fn dashed_down(&self, x: f32, y: Rangef, width: f32, colour: Color32) {
        let line = [pos2(x, y.min), pos2(x, y.max)];
        self.add(Shape::Vec(Shape::dashed_line(&line, Stroke::new(width, colour), 5.0, 4.0)));
    }
}
