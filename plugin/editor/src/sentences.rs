//! What is said in sentences, on top: that the time is up, what is in the way, and the remarks, numbered.

use std::sync::Arc;

use candlemark_session::view::View;
use egui::{Galley, Pos2, Rect, Stroke, pos2, vec2};

use crate::palette::{ACCENT, INK};
use crate::pen::{self, Pen};
use crate::{Choice, text};

const BETWEEN: f32 = 6.0;
/// The ring around a remark's number, and where its sentence begins.
const RING_RADIUS: f32 = 9.5;
const RING_WIDTH: f32 = 1.6;
const AFTER_RING: f32 = 28.0;

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
            let width = if number.is_some() { width - AFTER_RING } else { width };
            Sentence { galley: pen.paragraph(&words, pen::SENTENCE, INK, width), number }
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

    pub(crate) fn draw(self, pen: &Pen, room: Rect) {
        let mut corner = room.min;
        for sentence in self.sentences {
            let height = sentence.height();
            match sentence.number {
                Some(number) => {
                    draw_ring(pen, corner, number, first_line(&sentence.galley).max(2.0 * RING_RADIUS));
                    let rise = (2.0 * RING_RADIUS - first_line(&sentence.galley)).max(0.0) / 2.0;
                    pen.painter.galley(corner + vec2(AFTER_RING, rise), sentence.galley, INK);
                }
                None => pen.painter.galley(corner, sentence.galley, INK),
            }
            corner.y += height + BETWEEN;
        }
    }
}

/// Height of a text's first line, in points.
fn first_line(galley: &Galley) -> f32 {
    galley.rows.first().map_or(0.0, |row| row.rect().height())
}

fn draw_ring(pen: &Pen, corner: Pos2, number: usize, line_height: f32) {
    let centre = pos2(corner.x + RING_RADIUS + RING_WIDTH / 2.0, corner.y + line_height / 2.0);
    pen.painter.circle_stroke(centre, RING_RADIUS, Stroke::new(RING_WIDTH, ACCENT));
    pen.text_within(Rect::from_center_size(centre, vec2(0.0, 0.0)), &number.to_string(), pen::MARK, ACCENT);
}

fn said(view: &View, choice: &Choice) -> Vec<String> {
    let mut sentences = Vec::new();
    if view.candle.left_s() == 0.0 {
        let budget = text::hours(view.candle.budget_s());
        sentences.push(format!("This song’s time is up: {budget}. Print what you have."));
    }
    sentences.extend(view.trouble.clone());
    sentences.extend(choice.trouble.clone());
    sentences
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn time_that_is_up_and_every_trouble_are_said() {
        let mut view = View::default();
        let mut choice = Choice::default();
        assert!(said(&view, &choice).is_empty());
        view.candle.burn(view.candle.budget_s());
        view.trouble = Some("Nothing is measured.".into());
        choice.trouble = Some("It can't be read.".into());
        assert_eq!(
            said(&view, &choice),
            [
                "This song’s time is up: 2 h. Print what you have.",
                "Nothing is measured.",
                "It can't be read."
            ]
        );
    }
}
