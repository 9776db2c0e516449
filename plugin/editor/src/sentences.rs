//! What is said in sentences, on top: what is in the way, and the remarks, numbered.

use std::sync::Arc;

use candlemark_session::view::View;
use egui::{Button, Color32, Galley, Id, Pos2, Rect, Role, Sense, Stroke, Ui, Vec2, WidgetInfo, pos2, vec2};

use crate::Choice;
use crate::palette::Colours;
use crate::pen::{self, Pen};

const BETWEEN: f32 = 6.0;
/// The ring around a remark's number, and where its sentence begins.
const RING_RADIUS: f32 = 9.5;
const RING_WIDTH: f32 = 1.6;
const AFTER_RING: f32 = 28.0;
/// The button behind a remark.
const ANSWER: Vec2 = vec2(68.0, 21.0);

/// Sentences that are laid out, and how high they are together.
pub(crate) struct Sentences {
    sentences: Vec<Sentence>,
}

struct Sentence {
    galley: Arc<Galley>,
    /// The remark's number.
    number: Option<usize>,
}

impl Sentence {
    fn height(&self) -> f32 {
        let ring = if self.number.is_some() { 2.0 * RING_RADIUS } else { 0.0 };
        self.galley.size().y.max(ring)
    }
}

impl Sentences {
    /// What there is to say, in lines of at most `width` points.
    pub(crate) fn of(pen: &Pen, view: &View, choice: &Choice, width: f32) -> Self {
        let plain = said(view, choice).into_iter().map(|words| (words, None));
        let remarks =
            view.remarks.iter().zip(1..).map(|(remark, number)| (remark.text.clone(), Some(number)));
        let lay_out = |(words, number): (String, Option<usize>)| {
            let width = if number.is_some() { width - AFTER_RING - ANSWER.x - BETWEEN } else { width };
            Sentence { galley: pen.paragraph(&words, pen::SENTENCE, pen.colours.ink, width), number }
        };
        Self { sentences: plain.chain(remarks).map(lay_out).collect() }
    }

    /// Leaves the last remarks out, the least urgent, until the rest is no higher than `most` points.
    pub(crate) fn keep_within(&mut self, most: f32) {
        while self.height() > most && self.sentences.pop_if(|last| last.number.is_some()).is_some() {}
    }

    /// Their height, in points; 0 when nothing is said.
    pub(crate) fn height(&self) -> f32 {
        let lines: f32 = self.sentences.iter().map(Sentence::height).sum();
        lines + BETWEEN * self.sentences.len().saturating_sub(1) as f32
    }

    /// Their places in a room, from the top.
    fn places(&self, room: Rect) -> impl Iterator<Item = (&Sentence, Rect)> {
        let mut top = room.top();
        self.sentences.iter().map(move |sentence| {
            let place = Rect::from_x_y_ranges(room.x_range(), top..=top + sentence.height());
            top = place.bottom() + BETWEEN;
            (sentence, place)
        })
    }

    /// The remark under the pointer, counted from 0. Gives every sentence its name for readers of screens.
    pub(crate) fn pointed(&self, ui: &Ui, room: Rect) -> Option<usize> {
        let mut pointed = None;
        for (index, (sentence, place)) in self.places(room).enumerate() {
            let response = ui.interact(place, Id::unique(("sentence", index)), Sense::hover());
            response.widget_info(|| WidgetInfo::labeled(Role::Label, true, sentence.galley.text()));
            if response.hovered() {
                pointed = sentence.number.map(|number| number - 1);
            }
        }
        pointed
    }

    /// The button behind each remark with which a person says that they mean it. Gives the remark, counted from 0.
    pub(crate) fn answered(&self, ui: &mut Ui, room: Rect) -> Option<usize> {
        let mut answered = None;
        for (sentence, place) in self.places(room) {
            let Some(number) = sentence.number else { continue };
            let place = Rect::from_min_size(
                pos2(place.right() - ANSWER.x, place.top() + (2.0 * RING_RADIUS - ANSWER.y) / 2.0),
                ANSWER,
            );
            let button = Button::new("meant it").frame_when_inactive(false);
            let response = ui.put(place, button).on_hover_text("Say no more of this until it is worse");
            let name = format!("Meant it: {}", sentence.galley.text());
            response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &name));
            if response.clicked() {
                answered = Some(number - 1);
            }
        }
        answered
    }

    /// Writes them; a remark that is spoken of, counted from 0, has its ring filled.
    pub(crate) fn draw(&self, pen: &Pen, room: Rect, spoken_of: impl Fn(usize) -> bool) {
        for (sentence, place) in self.places(room) {
            let galley = Arc::clone(&sentence.galley);
            let line = first_line(&galley);
            let Some(number) = sentence.number else {
                pen.painter.galley(place.min, galley, pen.colours.ink);
                continue;
            };
            draw_ring(pen, place.min, number, line.max(2.0 * RING_RADIUS), spoken_of(number - 1));
            let rise = (2.0 * RING_RADIUS - line).max(0.0) / 2.0;
            pen.painter.galley(place.min + vec2(AFTER_RING, rise), galley, pen.colours.ink);
        }
    }
}

/// Height of a text's first line, in points.
fn first_line(galley: &Galley) -> f32 {
    galley.rows.first().map_or(0.0, |row| row.rect().height())
}

fn draw_ring(pen: &Pen, corner: Pos2, number: usize, line_height: f32, filled: bool) {
    let Colours { accent, background, .. } = *pen.colours;
    let centre = pos2(corner.x + RING_RADIUS + RING_WIDTH / 2.0, corner.y + line_height / 2.0);
    let (fill, ink) = if filled { (accent, background) } else { (Color32::TRANSPARENT, accent) };
    pen.painter.circle(centre, RING_RADIUS, fill, Stroke::new(RING_WIDTH, accent));
    let place = Rect::from_center_size(centre, vec2(0.0, 0.0));
    pen.text_within(place, &number.to_string(), pen::MARK, ink);
}

fn said(view: &View, choice: &Choice) -> Vec<String> {
    let mut sentences = Vec::new();
    sentences.extend(view.trouble.clone());
    sentences.extend(choice.trouble.clone());
    sentences
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_trouble_is_said() {
        let mut view = View::default();
        let mut choice = Choice::default();
        assert!(said(&view, &choice).is_empty());
        view.trouble = Some("Nothing is measured.".into());
        choice.trouble = Some("It can't be read.".into());
        assert_eq!(said(&view, &choice), ["Nothing is measured.", "It can't be read."]);
    }
}
