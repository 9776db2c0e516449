//! What a picture holds, by its shapes.

use candlemark_tests::picture::Picture;
use egui::epaint::{ClippedShape, TextShape};
use egui::{Pos2, Shape, Stroke};

use crate::LAMP;

pub(crate) fn squares(picture: &Picture) -> usize {
    let square = |shape: &Shape| matches!(shape, Shape::Rect(rect) if rect.fill == LAMP.outside);
    picture.shapes.iter().filter(|clipped| square(&clipped.shape)).count()
}

pub(crate) fn circles(picture: &Picture, is: impl Fn(&egui::epaint::CircleShape) -> bool) -> usize {
    let circle = |shape: &Shape| matches!(shape, Shape::Circle(circle) if is(circle));
    picture.shapes.iter().filter(|clipped| circle(&clipped.shape)).count()
}

pub(crate) fn lines(shapes: &[ClippedShape], is: impl Fn([Pos2; 2], Stroke) -> bool) -> usize {
    let line = |shape: &Shape| matches!(shape, Shape::LineSegment { points, stroke } if is(*points, *stroke));
    shapes.iter().filter(|clipped| line(&clipped.shape)).count()
}

pub(crate) fn texts(picture: &Picture) -> Vec<String> {
    texts_in(&picture.shapes)
}

pub(crate) fn texts_in(shapes: &[ClippedShape]) -> Vec<String> {
    let text = |shape: &Shape| match shape {
        Shape::Text(text) => Some(text.galley.text().to_owned()),
        _ => None,
    };
    shapes.iter().filter_map(|clipped| text(&clipped.shape)).collect()
}

pub(crate) fn has_text(picture: &Picture, wanted: &str) -> bool {
    has_text_in(&picture.shapes, wanted)
}

pub(crate) fn has_text_in(shapes: &[ClippedShape], wanted: &str) -> bool {
    texts_in(shapes).iter().any(|text| text.contains(wanted))
}

/// The first text of these words.
#[track_caller]
pub(crate) fn written<'a>(picture: &'a Picture, words: &str) -> &'a TextShape {
    let found = picture.shapes.iter().find_map(|clipped| match &clipped.shape {
        Shape::Text(text) if text.galley.text() == words => Some(text),
        _ => None,
    });
    found.unwrap_or_else(|| panic!("“{words}” is not written: {:?}", texts(picture)))
}
