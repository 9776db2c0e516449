//! Where each part of the picture lies in the window.

use egui::{Rangef, Rect};

use crate::controls;

/// The smallest and the designed width, in points. Between them the candle's column gives way.
const WIDTHS: Rangef = Rangef { min: 800.0, max: 1084.0 };
const MARGIN: f32 = 18.0;
const FIGURES_WIDTH: f32 = 210.0;
const GAP: f32 = 18.0;
/// Between a sentence and what lies under it.
const AFTER_SENTENCES: f32 = 14.0;
const ABOVE_CONTROLS: f32 = 12.0;
/// What is left to the picture under the sentences at least, in points.
const LEAST_PICTURE: f32 = 348.0;

/// The parts of the window.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Rooms {
    /// The column of the candle, to the window's edges.
    pub(crate) candle: Rect,
    /// Where sentences are written, on top.
    pub(crate) sentences: Rect,
    pub(crate) balance: Rect,
    pub(crate) strip: Rect,
    pub(crate) figures: Rect,
    /// The row of controls, under strip and figures.
    pub(crate) controls: Rect,
}

impl Rooms {
    /// Divides a window that has sentences of this height, in points, on top.
    pub(crate) fn of(window: Rect, sentences_height: f32) -> Self {
        let breadth = ((window.width() - WIDTHS.min) / WIDTHS.span()).clamp(0.0, 1.0);
        let candle = window.with_max_x(window.left() + egui::lerp(88.0..=104.0, breadth));
        let inside = window.with_min_x(candle.right() + 12.0).shrink2(egui::vec2(0.0, MARGIN - 2.0));
        let inside = inside.with_max_x(window.right() - MARGIN);
        let sentences = inside.with_max_y(inside.top() + sentences_height);
        let below = if sentences_height > 0.0 { sentences.bottom() + AFTER_SENTENCES } else { inside.top() };
        let inside = inside.with_min_y(below);
        let controls = inside.with_min_y(inside.bottom() - controls::HEIGHT);
        let inside = inside.with_max_y(controls.top() - ABOVE_CONTROLS);
        let figures = inside.with_min_x(inside.right() - FIGURES_WIDTH);
        let main = inside.with_max_x(figures.left() - GAP);
        let strip_height = (window.height() * 0.27).clamp(120.0, 260.0);
        let strip = main.with_min_y(main.bottom() - strip_height);
        let balance = main.with_max_y(strip.top() - GAP);
        Self { candle, sentences, balance, strip, figures, controls }
    }

    /// How high the sentences in this window may be together, in points.
    pub(crate) fn most_sentences_height(window: Rect) -> f32 {
        window.height() - 2.0 * (MARGIN - 2.0) - AFTER_SENTENCES - LEAST_PICTURE
    }

    /// Width of a sentence in this window, in points.
    pub(crate) fn sentence_width(window: Rect) -> f32 {
        Self::of(window, 0.0).sentences.width()
    }
}

/// What the scale on the right of a plot takes, in points.
pub(crate) const SCALE_WIDTH: f32 = 36.0;
