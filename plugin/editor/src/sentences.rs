//! What is said in sentences, on top.

use std::sync::Arc;

use candlemark_session::view::View;
use egui::{Galley, Rect};

use crate::palette::INK;
use crate::pen::{self, Pen};
use crate::{Choice, text};

const BETWEEN: f32 = 6.0;

/// Sentences that are laid out, and how high they are together.
pub(crate) struct Sentences {
    galleys: Vec<Arc<Galley>>,
}

impl Sentences {
    /// What there is to say, in lines of at most `width` points.
    pub(crate) fn of(pen: &Pen, view: &View, choice: &Choice, width: f32) -> Self {
        let sentences = said(view, choice);
        let lay_out = |sentence: &String| pen.paragraph(sentence, pen::SENTENCE, INK, width);
        Self { galleys: sentences.iter().map(lay_out).collect() }
    }

    /// Their height, in points; 0 when nothing is said.
    pub(crate) fn height(&self) -> f32 {
        let lines: f32 = self.galleys.iter().map(|galley| galley.size().y).sum();
        lines + BETWEEN * self.galleys.len().saturating_sub(1) as f32
    }

    pub(crate) fn draw(self, pen: &Pen, room: Rect) {
        let mut corner = room.min;
        for galley in self.galleys {
            let height = galley.size().y;
            pen.painter.galley(corner, galley, INK);
            corner.y += height + BETWEEN;
        }
    }
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
