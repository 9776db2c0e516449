//! Text stands out from what it is written on, in both palettes: every pair of colours that the pictures hold.

use std::collections::BTreeMap;

use candlemark_editor::palette::Palette;
use candlemark_editor::{FLOORS_PERCENT, Look, contrast};
use candlemark_session::view::View;
use candlemark_tests::picture::Picture;
use egui::epaint::TextShape;
use egui::{Color32, Pos2, Shape};

use crate::{DESIGNED, LAMP, SEEN, SMALLEST, draw, draw_as, evening, named_views, views};

/// What is painted at a place by this shape, where it covers the place.
fn fill_at(shape: &Shape, at: Pos2) -> Option<Color32> {
    let (fill, covers) = match shape {
        Shape::Rect(rect) => (rect.fill, rect.rect.contains(at)),
        Shape::Circle(circle) => (circle.fill, circle.center.distance(at) <= circle.radius),
        _ => return None,
    };
    (covers && fill.is_opaque()).then_some(fill)
}

/// Which shape lies under this one at a place, and its colour.
fn ground(picture: &Picture, index: usize, at: Pos2) -> (usize, Color32) {
    let mut below = picture.shapes[..index].iter().enumerate().rev();
    let found = below.find_map(|(under, clipped)| Some((under, fill_at(&clipped.shape, at)?)));
    found.expect("a ground is painted")
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
        let (_, ground) = ground(picture, index, at);
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
    let known: Vec<_> = palette.colours().text_on_ground().into_iter().chain(lit.text_on_ground()).collect();
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
                let picture = draw_as(Look { palette, ..SEEN }, &view, &choice, size, 1.0);
                for pair in hold_dimmed(&picture, palette, bright_share, view_name) {
                    *seen.entry(pair).or_default() += 1;
                }
            }
        }
        for (name, text, ground) in palette.colours().text_on_ground() {
            let ratio = contrast::ratio(text, ground);
            let count = seen.get(name).copied().unwrap_or_default();
            println!("{:<6} {name:<24} {ratio:5.2} : 1 {count:5} texts", palette.name());
        }
    }
}

/// A colour under every veil that is painted over this place after it.
fn under_veils(picture: &Picture, from: usize, at: Pos2, colour: Color32) -> Color32 {
    let veils = picture.shapes[from..].iter().filter_map(|clipped| match &clipped.shape {
        Shape::Rect(rect) if rect.fill.a() > 0 && !rect.fill.is_opaque() && rect.rect.contains(at) => {
            Some(rect.fill)
        }
        _ => None,
    });
    veils.fold(colour, Color32::blend)
}

/// The contrast, as it is seen, of the text that begins so: the lowest of its colours. Of several such texts, which say the
/// same, the one that is read best.
fn as_seen(picture: &Picture, begins: &str) -> Option<f64> {
    let mut best: Option<f64> = None;
    for (index, clipped) in picture.shapes.iter().enumerate() {
        let Shape::Text(text) = &clipped.shape else { continue };
        if !text.galley.text().starts_with(begins) {
            continue;
        }
        let at = text.visual_bounding_rect().center();
        let (under, ground) = ground(picture, index, at);
        let ground = under_veils(picture, under, at, ground);
        let seen = |colour: Color32| contrast::ratio(under_veils(picture, index, at, colour), ground);
        let lowest = colours_of(text).into_iter().map(seen).fold(f64::INFINITY, f64::min);
        best = Some(best.map_or(lowest, |best| best.max(lowest)));
    }
    best
}

#[test]
fn what_must_be_read_while_the_picture_is_dimmed_stands_out_as_it_is_seen() {
    let faults = View { candle: views::spent().candle, ..views::faults() };
    // Why it is dimmed, what can be answered, what is wrong, and what is left of the song.
    let all: [(View, &[&str]); 5] = [
        (evening::rest_due(), &["You have worked", "Rest now", "Later", "a rest is due", "of 2 h left"]),
        (evening::resting(), &["Resting, 8 min", "resting", "of 2 h left"]),
        (views::spent(), &["The two hours are up", "2 h spent"]),
        (views::fading(), &["6 min of two hours", "of 2 h left"]),
        (faults, &["The two hours are up", "14 overs", "True peak goes to", "meant it"]),
    ];
    for palette in Palette::ALL {
        let mut lowest = f64::INFINITY;
        for floor_percent in FLOORS_PERCENT {
            for (view, words) in &all {
                let look = Look { palette, floor_percent, ..SEEN };
                let picture = draw_as(look, view, &views::shelf(), DESIGNED, 1.0);
                for words in *words {
                    let seen = as_seen(&picture, words).unwrap_or_else(|| panic!("“{words}” is written"));
                    let name = palette.name();
                    assert!(
                        seen >= contrast::LEAST_OF_TEXT,
                        "{name} at {floor_percent} %: “{words}”: {seen:.2}"
                    );
                    lowest = lowest.min(seen);
                }
            }
        }
        println!("{:<6} {lowest:5.2} : 1 at the least while dimmed", palette.name());
    }
}

/// The sight through the veil tells a text under it from one over it.
#[test]
fn a_text_under_the_veil_is_judged_as_it_is_seen() {
    let picture = draw(&views::spent(), &views::shelf(), DESIGNED, 1.0);
    assert!(contrast::ratio(LAMP.note, LAMP.background) > 6.0);
    let seen = as_seen(&picture, "square: ").expect("the legend is written");
    assert!(seen < contrast::LEAST_OF_TEXT, "{seen:.2}");
}
