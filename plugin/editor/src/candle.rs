//! The candle: the song's time as it burns down.

use candlemark_session::candle::{Candle, Flame, Rest};
use egui::epaint::CubicBezierShape;
use egui::{Align, Color32, Pos2, Rangef, Rect, Shape, Stroke, StrokeKind, Ui, pos2, vec2};

use crate::pen::{self, Kit, Pen};
use crate::{song_head, text};

const WAX_WIDTH: f32 = 28.0;
const FLAME_HEIGHT: f32 = 27.0;
const WICK: f32 = 9.0;
/// What is left of a candle that has burnt down.
const STUB: f32 = 10.0;
/// What the words under the candle take.
const WORDS: f32 = 76.0;
/// How far a notch reaches out on either side of the middle.
const NOTCH: f32 = 20.0;
/// A rest that is no further off stands out, in seconds (ours).
const SOON_S: f64 = 10.0 * 60.0;

/// What it says, in a sentence.
pub(crate) fn said(candle: &Candle) -> String {
    let budget = text::spoken_hours(candle.budget_s());
    let left = match minutes(candle.left_s()).as_str() {
        "0" => format!("Candle: the {budget} are spent"),
        "1" => format!("Candle: one minute of {budget} left"),
        minutes => format!("Candle: {minutes} minutes of {budget} left"),
    };
    match rest(candle).first() {
        Some(rest) => format!("{left}, {rest}"),
        None => left,
    }
}

/// How it stands with the rests, from long to short. Nothing before the candle is lit; and when the time is up, one stops.
fn rest(candle: &Candle) -> Vec<String> {
    let is_up = candle.left_s() == 0.0 && !matches!(candle.rest(), Rest::Resting(_));
    if is_up || candle.flame() == Flame::Unlit {
        return Vec::new();
    }
    match candle.rest() {
        // Without a flame alone it would be told from one that burns by looking closely.
        Rest::In(seconds) if candle.flame() == Flame::Out => {
            vec![format!("stopped, rest in {}", minutes(seconds)), "stopped".into()]
        }
        Rest::In(seconds) => vec![format!("rest in {}", minutes(seconds))],
        Rest::Due(_) => vec!["a rest is due".into(), "rest due".into()],
        Rest::Resting(seconds) => {
            let minutes = minutes(seconds);
            vec![format!("resting, {minutes} min to go"), format!("resting, {minutes} min"), "resting".into()]
        }
    }
}

/// Minutes, of which a begun one counts.
pub(crate) fn minutes(seconds: f64) -> String {
    format!("{}", (seconds / 60.0).ceil())
}

pub(crate) fn draw(ui: &Ui, kit: Kit, room: Rect, candle: &Candle) {
    let pen = &kit.pen(ui);
    let room = room.with_min_y(room.top() + song_head::HEIGHT);
    kit.label(ui, room, "the candle", &said(candle));
    let base = room.bottom() - WORDS - 12.0;
    draw_wax(pen, room.with_min_y(room.top() + 8.0).with_max_y(base), candle, 1.0);
    let middle = room.center().x;
    let budget = text::hours(candle.budget_s());
    let (figure, note) = if candle.left_s() == 0.0 {
        ("time".to_owned(), format!("{budget} spent"))
    } else {
        (text::hours(candle.left_s()), format!("of {budget} left"))
    };
    pen.text(pos2(middle, base + 26.0), Align::Center, &figure, pen::FIGURE, pen.colours.ink);
    pen.text(pos2(middle, base + 44.0), Align::Center, &note, pen::NOTE, pen.colours.note);
    let (face, colour) = match candle.rest() {
        Rest::In(seconds) if seconds > SOON_S => (pen::NOTE, pen.colours.note),
        Rest::Resting(_) => (pen::NOTE, pen.colours.ink),
        _ => (pen::MARK, pen.colours.accent),
    };
    let at = pos2(middle, base + 66.0);
    pen.text_that_fits(at, Align::Center, &rest(candle), face, room.width() - 3.0, colour);
}

/// The candle alone, from its flame to what it stands on, `scale` times as thick as beside the picture.
pub(crate) fn draw_wax(pen: &Pen, room: Rect, candle: &Candle, scale: f32) {
    let middle = room.center().x;
    let base = room.bottom();
    let whole = Rangef::new(room.top() + (FLAME_HEIGHT + WICK) * scale, base - 6.0 * scale);
    let half = WAX_WIDTH / 2.0 * scale;
    let wax = |top: f32| Rect::from_x_y_ranges(middle - half..=middle + half, top..=whole.max);
    let height = (whole.span() * candle.left_share() as f32).max(STUB * scale);
    let left = wax(whole.max - height);
    // What has burnt away. Beside the wax itself it would be seen.
    let burnt = wax(whole.min).with_max_y(left.top());
    if burnt.height() > 1.0 {
        let outline = [burnt.left_bottom(), burnt.left_top(), burnt.right_top(), burnt.right_bottom()];
        pen.dotted(&outline, pen.colours.wire);
    }
    let line = Stroke::new(1.4 * scale, pen.colours.ink);
    pen.fill(left, pen.colours.raised);
    pen.add(Shape::rect_stroke(left, 0.0, line, StrokeKind::Middle));
    for share in candle.notches() {
        let y = whole.max - whole.span() * share as f32;
        pen.across(middle - NOTCH * scale..=middle + NOTCH * scale, y, 1.2 * scale, pen.colours.note);
    }
    if candle.left_s() > 0.0 {
        let wick = left.center_top() - vec2(0.0, WICK * scale);
        pen.line(left.center_top(), wick, 1.4 * scale, pen.colours.ink);
        if candle.flame() == Flame::Burning {
            flame(pen, wick + vec2(0.0, 2.0 * scale), scale);
        }
    }
    pen.across(middle - 32.0 * scale..=middle + 32.0 * scale, base, 2.4 * scale, pen.colours.ink);
}

/// A flame that stands on `foot`: two curves that meet at its tip.
fn flame(pen: &Pen, foot: Pos2, scale: f32) {
    let at = |x: f32, y: f32| foot + vec2(x, -y) * scale;
    let side = |out: f32| {
        let corners = [foot, at(out * 1.1, 1.0), at(out * 1.25, 12.0), at(0.0, FLAME_HEIGHT)];
        let curve = CubicBezierShape::from_points_stroke(corners, false, Color32::TRANSPARENT, Stroke::NONE);
        (0..=12).map(move |step| curve.sample(step as f32 / 12.0))
    };
    let mut points: Vec<Pos2> = side(7.0).chain(side(-7.0).rev()).collect();
    points.dedup();
    pen.polygon(points, pen.colours.accent);
}
