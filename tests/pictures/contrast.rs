//! Text stands out from what it is written on, in both palettes: every pair of colours that the pictures hold.

use std::collections::BTreeMap;

use candlemark_editor::palette::Palette;
use candlemark_editor::{Look, contrast};
use candlemark_tests::picture::Picture;
use egui::epaint::TextShape;
use egui::{Color32, Pos2, Shape};

use crate::{DESIGNED, SMALLEST, draw_in, named_views};

/// What is painted at a place by this shape, where it covers the place.
fn fill_at(shape: &Shape, at: Pos2) -> Option<Color32> {
    let (fill, covers) = match shape {
        Shape::Rect(rect) => (rect.fill, rect.rect.contains(at)),
        Shape::Circle(circle) => (circle.fill, circle.center.distance(at) <= circle.radius),
        _ => return None,
    };
    (covers && fill.is_opaque()).then_some(fill)
}

fn colours_of(text: &TextShape) -> Vec<Color32> {
    if let Some(colour) = text.override_text_color {
        return vec![colour];
    }
    let sections = text.galley.job.sections.iter().map(|section| section.format.color);
    sections.map(|c| if c == Color32::PLACEHOLDER { text.fallback_color } else { c }).collect()
}

/// Every text with its colour and with what lies under it, before any veil.
fn pairs(picture: &Picture) -> Vec<(String, Color32, Color32)> {
    let mut pairs = Vec::new();
    for (index, clipped) in picture.shapes.iter().enumerate() {
        let Shape::Text(text) = &clipped.shape else { continue };
        let place = text.visual_bounding_rect();
        if !place.is_positive() {
            continue;
        }
        let at = place.center();
        let mut below = picture.shapes[..index].iter().rev();
        let ground = below.find_map(|clipped| fill_at(&clipped.shape, at)).expect("a ground is painted");
        pairs.extend(colours_of(text).into_iter().map(|c| (text.galley.text().to_owned(), c, ground)));
    }
    pairs
}

/// The names of the pairs that a picture holds. Fails when a palette does not name one.
#[track_caller]
pub(crate) fn hold(picture: &Picture, palette: Palette, name: &str) -> Vec<&'static str> {
    hold_dimmed(picture, palette, 1.0, name)
}

/// The same of a picture that is so bright, 0 to 1.
#[track_caller]
fn hold_dimmed(picture: &Picture, palette: Palette, bright_share: f64, name: &str) -> Vec<&'static str> {
    let lit = palette.lit_while_dimmed(bright_share);
    // What a person means is answered by a button, which has the day's ink.
    let button = ("button on what is lit", palette.colours().ink, lit.background);
    let known: Vec<_> =
        palette.colours().text_on_ground().into_iter().chain(lit.text_on_ground()).chain([button]).collect();
    for (pair, text, ground) in &known {
        let ratio = contrast::ratio(*text, *ground);
        assert!(ratio >= contrast::LEAST_OF_TEXT, "{name}: {pair}: {ratio:.2}");
    }
    let named = |(words, text, ground): (String, Color32, Color32)| {
        let pair = known.iter().find(|(_, t, g)| (*t, *g) == (text, ground));
        pair.unwrap_or_else(|| panic!("{name}: “{words}” is {text:?} on {ground:?}, which no palette names"))
            .0
    };
    pairs(picture).into_iter().map(named).collect()
}

#[test]
fn every_text_of_every_picture_stands_out_from_its_ground() {
    for palette in Palette::ALL {
        let mut seen: BTreeMap<&str, usize> = BTreeMap::new();
        for (view_name, view, choice) in named_views() {
            for size in [DESIGNED, SMALLEST] {
                let bright_share = view.candle.brightness_share(Look::default().floor_share());
                let picture = draw_in(palette, &view, &choice, size, 1.0);
                for pair in hold_dimmed(&picture, palette, bright_share, view_name) {
                    *seen.entry(pair).or_default() += 1;
                }
            }
        }
        for (name, text, ground) in palette.colours().text_on_ground() {
            let ratio = contrast::ratio(text, ground);
            let count = seen.get(name).copied().unwrap_or_default();
            println!("{:<6} {name:<24} {ratio:5.2} : 1 {count:5} texts", palette.name());
            assert!(ratio >= contrast::LEAST_OF_TEXT, "{}: {name}: {ratio:.2}", palette.name());
        }
    }
}
