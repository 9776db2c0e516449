//! Where each part of the picture lies in the window, and what drops out where there is no room for it.
//!
//! Of a window that grows smaller, first parts of the column of figures go, in the order that `column_plan` says, then the
//! strip, then the column, for which a line of three figures stands in. The sentences, the balance, the candle and the
//! controls stay.

use egui::{Rangef, Rect};

use crate::controls;

/// Under the first width the candle's column is narrowest, from the second on it is as designed, in points.
const CANDLE_GROWS: Rangef = Rangef { min: 800.0, max: 1084.0 };
const MARGIN: f32 = 18.0;
const FIGURES_WIDTH: f32 = 210.0;
const GAP: f32 = 18.0;
/// Between a sentence and what lies under it.
const AFTER_SENTENCES: f32 = 14.0;
const ABOVE_CONTROLS: f32 = 12.0;
/// The column of figures needs so much, in points.
const FIGURES_NEED_HEIGHT: f32 = 312.0;
/// Beside it the balance needs so much, in points.
const BALANCE_NEEDS_WIDTH: f32 = 440.0;
/// The least and the greatest height of the strip, in points.
const STRIP: Rangef = Rangef { min: 120.0, max: 480.0 };
/// Over it the balance needs so much, in points.
const BALANCE_NEEDS_HEIGHT: f32 = 168.0;
/// What stands in for the column of figures.
const LINE_HEIGHT: f32 = 24.0;
/// In a window as high as the first, sentences leave the whole picture so much; in a lower one, the balance so much.
const LEAST_PICTURE: [f32; 3] = [520.0, 312.0, 190.0];

/// The parts of the window. What has dropped out is `None`.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Rooms {
    /// The column of the candle, to the window's edges.
    pub(crate) candle: Rect,
    /// Where sentences are written, on top.
    pub(crate) sentences: Rect,
    pub(crate) balance: Rect,
    pub(crate) strip: Option<Rect>,
    pub(crate) figures: Option<Rect>,
    /// Three figures in a line, where there is no column of them.
    pub(crate) figures_line: Option<Rect>,
    /// The controls, under all else.
    pub(crate) controls: Rect,
}

impl Rooms {
    /// Divides a window that has sentences of this height, in points, on top.
    pub(crate) fn of(window: Rect, sentences_height: f32) -> Self {
        let inside = Self::inside(window);
        let candle = window.with_max_x(inside.left() - 12.0);
        let sentences = inside.with_max_y(inside.top() + sentences_height);
        let below = if sentences_height > 0.0 { sentences.bottom() + AFTER_SENTENCES } else { inside.top() };
        let controls = inside.with_min_y(inside.bottom() - controls::height(inside.width()));
        let inside = inside.with_min_y(below).with_max_y(controls.top() - ABOVE_CONTROLS);

        let beside = inside.width() - FIGURES_WIDTH - GAP;
        let has_figures = inside.height() >= FIGURES_NEED_HEIGHT && beside >= BALANCE_NEEDS_WIDTH;
        let figures = has_figures.then(|| inside.with_min_x(inside.right() - FIGURES_WIDTH));
        let main = figures.map_or(inside, |figures| inside.with_max_x(figures.left() - GAP));
        let figures_line = (!has_figures).then(|| main.with_max_y(main.top() + LINE_HEIGHT));
        let main = figures_line.map_or(main, |line| main.with_min_y(line.bottom()));

        let spare = main.height() - GAP - BALANCE_NEEDS_HEIGHT;
        let strip_height = (window.height() * 0.27).clamp(STRIP.min, STRIP.max).min(spare);
        let strip = (spare >= STRIP.min).then(|| main.with_min_y(main.bottom() - strip_height));
        let balance = strip.map_or(main, |strip| main.with_max_y(strip.top() - GAP));
        Self { candle, sentences, balance, strip, figures, figures_line, controls }
    }

    /// All but the candle's column and the margins.
    fn inside(window: Rect) -> Rect {
        let breadth = ((window.width() - CANDLE_GROWS.min) / CANDLE_GROWS.span()).clamp(0.0, 1.0);
        let candle = window.left() + egui::lerp(88.0..=104.0, breadth);
        let inside = window.with_min_x(candle + 12.0).with_max_x(window.right() - MARGIN);
        inside.shrink2(egui::vec2(0.0, MARGIN - 2.0))
    }

    /// How high the sentences in this window may be together, in points.
    pub(crate) fn most_sentences_height(window: Rect) -> f32 {
        let inside = Self::inside(window);
        let [high, whole, balance] = LEAST_PICTURE;
        let least = if window.height() >= high { whole } else { balance + LINE_HEIGHT };
        inside.height() - AFTER_SENTENCES - ABOVE_CONTROLS - controls::height(inside.width()) - least
    }

    /// Width of a sentence in this window, in points.
    pub(crate) fn sentence_width(window: Rect) -> f32 {
        Self::inside(window).width()
    }
}

/// What the scale on the right of a plot takes, in points.
pub(crate) const SCALE_WIDTH: f32 = 36.0;

#[cfg(test)]
mod tests {
    use egui::{Pos2, vec2};

    use super::*;

    fn rooms(width: f32, height: f32) -> Rooms {
        Rooms::of(Rect::from_min_size(Pos2::ZERO, vec2(width, height)), 0.0)
    }

    #[test]
    fn the_strip_drops_out_before_the_figures_and_the_balance_stays() {
        let dropped: Vec<(bool, bool)> = (0..20)
            .map(|step| rooms(1084.0, 680.0 - 15.0 * step as f32))
            .map(|rooms| (rooms.strip.is_none(), rooms.figures.is_none()))
            .collect();
        assert_eq!(dropped[0], (false, false));
        assert!(dropped.windows(2).all(|pair| pair[0].0 <= pair[1].0 && pair[0].1 <= pair[1].1));
        let smallest = rooms(640.0, 400.0);
        assert!(smallest.figures.is_none() && smallest.figures_line.is_some());
        assert!(smallest.balance.height() >= 150.0, "{smallest:?}");
    }

    #[test]
    fn no_room_lies_over_another_at_any_size() {
        for width in (640..=3840).step_by(40) {
            for height in (400..=2160).step_by(40) {
                let rooms = rooms(width as f32, height as f32);
                let some = [rooms.strip, rooms.figures, rooms.figures_line].into_iter().flatten();
                let all: Vec<Rect> = some.chain([rooms.candle, rooms.balance, rooms.controls]).collect();
                for (index, room) in all.iter().enumerate() {
                    assert!(room.is_positive(), "{width} × {height}: {rooms:?}");
                    let over =
                        all[..index].iter().any(|other| other.shrink(0.1).intersects(room.shrink(0.1)));
                    assert!(!over, "{width} × {height}: {rooms:?}");
                }
            }
        }
    }
}
