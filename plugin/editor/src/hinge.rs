//! The hinge: correlation as the opening of one arm over a fixed one. Shut is +1, square 0, flat −1.

use std::f32::consts::FRAC_PI_2;

use egui::{Pos2, Rect, Shape, Stroke, pos2, vec2};

use crate::pen::Pen;
use crate::text;

/// How far the arm stands open, in radians: 0 for +1, a right angle for 0, half a turn for −1.
fn opening(correlation: f64) -> f32 {
    (1.0 - correlation.clamp(-1.0, 1.0)) as f32 * FRAC_PI_2
}

/// What it says, in a sentence.
pub(crate) fn said(correlation: Option<f64>) -> String {
    match correlation {
        Some(_) => format!("Hinge: correlation {} over 3 s", text::correlation(correlation)),
        None => "Hinge: no correlation".into(),
    }
}

fn on_arc(pivot: Pos2, radius: f32, angle: f32) -> Pos2 {
    pivot + radius * vec2(angle.cos(), -angle.sin())
}

fn arc(pivot: Pos2, radius: f32, to: f32) -> Vec<Pos2> {
    let steps = 48;
    (0..=steps).map(|step| on_arc(pivot, radius, to * step as f32 / steps as f32)).collect()
}

pub(crate) fn draw(pen: &Pen, room: Rect, correlation: Option<f64>) {
    let arm = (room.height() - 14.0).min(room.width() / 2.0 - 6.0);
    let pivot = pos2(room.center().x, (room.center().y + arm / 2.0).min(room.bottom() - 8.0));
    // Without a correlation there is no hinge, not even a shut one.
    let fixed = if correlation.is_some() { pen.colours.ink } else { pen.colours.rule };
    pen.line(pivot, on_arc(pivot, arm, 0.0), 3.0, fixed);
    if let Some(correlation) = correlation {
        let angle = opening(correlation);
        pen.add(Shape::line(arc(pivot, arm * 0.36, angle), Stroke::new(1.2, pen.colours.note)));
        pen.line(pivot, on_arc(pivot, arm, angle), 3.0, pen.colours.ink);
    }
    pen.disc(pivot, 5.0, fixed);
}

#[cfg(test)]
mod tests {
    use std::f32::consts::PI;

    use super::*;

    #[test]
    fn shut_is_plus_one_square_is_nought_and_flat_is_minus_one() {
        assert_eq!(opening(1.0), 0.0);
        assert_eq!(opening(0.0), FRAC_PI_2);
        assert_eq!(opening(-1.0), PI);
        assert_eq!(opening(1.0000001), 0.0);
    }
}
