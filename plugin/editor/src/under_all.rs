//! What lies under the beads: where the room is not to be believed, and how the bands are heard at the chair.

use candlemark_session::as_heard::HeardBand;
use egui::{Rect, pos2, vec2};

use crate::band_scale::BandScale;
use crate::pen::Pen;

/// Between two dots, in points.
const DOTS: f32 = 6.0;
const DOT: f32 = 1.6;

/// A tick where a band is heard is so wide, as a share of what a band has.
const TICK_SHARE: f32 = 0.44;
const TICK: f32 = 1.4;

/// Dots behind the bands of these nominal frequencies, in hertz.
pub(crate) fn draw_doubt(pen: &Pen, scale: &BandScale, doubt_hz: &[f64]) {
    let plot = scale.plot;
    let columns: Vec<Rect> = doubt_hz.iter().filter_map(|hz| scale.column([*hz, *hz])).collect();
    // On whole points, so that every dot is as large as its neighbour.
    let first = pos2(plot.left().round() + 2.2, plot.top().round() + 2.2);
    let places =
        |from: f32, to: f32| (0..).map(move |step| from + DOTS * step as f32).take_while(move |at| *at < to);
    for x in places(first.x, plot.right()) {
        if columns.iter().any(|column| column.x_range().contains(x)) {
            for y in places(first.y, plot.bottom()) {
                pen.fill(Rect::from_min_size(pos2(x, y), vec2(DOT, DOT)), pen.colours.rule);
            }
        }
    }
}

/// How much stronger or weaker the bands are heard, as a tick in each band about nought; none where the scale does not
/// hold it.
pub(crate) fn draw_as_heard(pen: &Pen, scale: &BandScale, heard: &[HeardBand]) {
    for band in heard.iter().filter(|band| scale.off(band.heard_db).is_none()) {
        let Some(x) = scale.x(band.hz) else { continue };
        let half = TICK_SHARE * scale.pitch();
        pen.across(x - half..=x + half, scale.y(band.heard_db), TICK, pen.colours.note);
    }
}
