//! What a picture holds, by its shapes.

use candlemark_tests::picture::Picture;
use egui::Shape;
use egui::epaint::ClippedShape;

use crate::LAMP;

pub(crate) fn squares(picture: &Picture) -> usize {
    let square = |shape: &Shape| matches!(shape, Shape::Rect(rect) if rect.fill == LAMP.outside);
    picture.shapes.iter().filter(|clipped| square(&clipped.shape)).count()
}

pub(crate) fn circles(picture: &Picture, is: impl Fn(&egui::epaint::CircleShape) -> bool) -> usize {
    let circle = |shape: &Shape| matches!(shape, Shape::Circle(circle) if is(circle));
    picture.shapes.iter().filter(|clipped| circle(&clipped.shape)).count()
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
    texts(picture).iter().any(|text| text.contains(wanted))
}
