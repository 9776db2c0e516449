//! Drift: a bracket over the bands that have come up or gone down since the ears were fresh, with its amount.

use candlemark_session::drift::Drifted;
use egui::{Rect, pos2, vec2};

use crate::band_scale::BandScale;
use crate::clear_place::ClearPlace;
use crate::pen::{self, Pen};

const HEIGHT: f32 = 14.0;
/// What the bracket's ends reach down.
const TICK: f32 = 4.0;
/// Between the bracket and the marks under it.
const GAP: f32 = 7.0;

/// Draws its bracket over the marks of its bands, whose highest is at `top`, where its words are clear of all that stands there.
pub(crate) fn draw(drifted: &Drifted, pen: &Pen, scale: &BandScale, top: f32, clear: &mut ClearPlace) {
    let Some(column) = scale.column(drifted.bands_hz) else { return };
    let across = column.x_range().shrink(scale.pitch() * 0.2);
    let words = drifted.words();
    let width = pen.width(&words, pen::MARK) + 2.0;
    let y = (top - GAP).max(scale.plot.top() + HEIGHT + TICK);
    let half = width / 2.0;
    let middle = across.center().clamp(scale.plot.left() + half, scale.plot.right() - half);
    let place = Rect::from_center_size(pos2(middle, y - HEIGHT / 2.0 - 2.0), vec2(width, HEIGHT));
    pen.across(across.min..=across.max, y, 1.4, pen.colours.outside);
    for x in [across.min, across.max] {
        pen.down(x, y..=y + TICK, 1.4, pen.colours.outside);
    }
    pen.fill(place, pen.colours.background);
    pen.text_within(place, &words, pen::MARK, pen.colours.outside);
    clear.take(place);
}
