//! What holds for every picture: texts lie in the window, and none covers another or is cut.

use candlemark_tests::picture::{Picture, place_of};
use egui::epaint::ClippedShape;
use egui::{Pos2, Rect, Shape, Vec2};

/// Letters may touch by the fringe that smooths their edges, in points.
const FRINGE: f32 = 0.5;

struct Text {
    words: String,
    place: Rect,
    clip: Rect,
}

/// Fails when a text leaves the window or what it is clipped to, or covers another.
#[track_caller]
pub(crate) fn hold(shapes: &[ClippedShape], size: Vec2, name: &str) {
    let window = Rect::from_min_size(Pos2::ZERO, size);
    let texts = texts(shapes);
    assert!(!texts.is_empty(), "{name} holds no text");
    for (index, text) in texts.iter().enumerate() {
        assert!(
            window.contains_rect(text.place),
            "{name}: “{}” leaves the window: {:?}",
            text.words,
            text.place
        );
        let clip = text.clip.expand(FRINGE);
        assert!(clip.contains_rect(text.place), "{name}: “{}” is cut: {:?}", text.words, text.place);
        for other in &texts[..index] {
            let common = text.place.shrink(FRINGE).intersect(other.place.shrink(FRINGE));
            assert!(!common.is_positive(), "{name}: “{}” covers “{}” at {common:?}", text.words, other.words);
        }
    }
    for clipped in shapes {
        let place = clipped.shape.visual_bounding_rect().intersect(clipped.clip_rect);
        assert!(
            !place.is_positive() || window.expand(1.0).contains_rect(place),
            "{name}: a shape leaves the window: {:?}",
            clipped.shape
        );
    }
}

/// Fails when one of these words is not written well inside the window.
#[track_caller]
pub(crate) fn hold_words(picture: &Picture, size: Vec2, name: &str, all: &[&str]) {
    for words in all {
        let place = place_of(&picture.shapes, words).unwrap_or_else(|| panic!("{name}: no {words}"));
        let inside = Rect::from_min_size(Pos2::ZERO, size).shrink(8.0);
        assert!(inside.contains(place), "{name}: {words} at {place:?}");
    }
}

fn texts(shapes: &[ClippedShape]) -> Vec<Text> {
    let text = |clipped: &ClippedShape| match &clipped.shape {
        Shape::Text(text) => Some(Text {
            words: text.galley.text().to_owned(),
            place: text.visual_bounding_rect(),
            clip: clipped.clip_rect,
        }),
        _ => None,
    };
    shapes.iter().filter_map(text).filter(|text| text.place.is_positive()).collect()
}

mod fails_on_bad_samples {
    use candlemark_tests::picture;
    use egui::{Align2, Color32, FontId, Pos2, pos2, vec2};

    fn hold(texts: &[(Pos2, &str)]) {
        let size = vec2(200.0, 100.0);
        let shapes = picture::shapes(size, 1.0, |ui| {
            for (at, text) in texts {
                ui.painter().text(*at, Align2::LEFT_TOP, text, FontId::proportional(12.0), Color32::WHITE);
            }
        });
        super::hold(&shapes, size, "a sample");
    }

    #[test]
    fn texts_apart_hold() {
        hold(&[(pos2(20.0, 20.0), "one"), (pos2(20.0, 40.0), "two")]);
    }

    #[test]
    #[should_panic(expected = "covers “one”")]
    fn a_text_over_another() {
        hold(&[(pos2(20.0, 20.0), "one"), (pos2(24.0, 24.0), "two")]);
    }

    #[test]
    #[should_panic(expected = "leaves the window")]
    fn a_text_out_of_the_window() {
        hold(&[(pos2(190.0, 20.0), "a long one")]);
    }

    #[test]
    #[should_panic(expected = "no text")]
    fn an_empty_picture() {
        hold(&[]);
    }
}
