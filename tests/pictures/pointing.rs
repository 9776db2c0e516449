//! What lies under the pointer is said in words, and a remark and what it speaks of light each other.

use candlemark_editor::palette::Palette;
use candlemark_editor::{Look, show};
use candlemark_session::view::View;
use candlemark_tests::picture::{self, Picture, button};
use egui::epaint::ClippedShape;
use egui::{Event, Pos2, Rect, Shape, Vec2, pos2, vec2};

use crate::open::open;
use crate::seen::{circles, has_text, lines, texts};
use crate::{
    DESIGNED, LAMP, SEEN, SMALLEST, contrast, controls_of, draw, geometry, named_views, save, views,
};

fn after(events: &[Event], palette: Palette, view: &View, size: Vec2) -> Picture {
    let look = Look { palette, ..SEEN };
    Picture::after(events, size, 1.0, |ui| {
        assert_eq!(show(ui, view, &views::shelf(), &controls_of(view), look), [], "nothing is asked for");
    })
}

fn pointed(view: &View, at: Pos2) -> Picture {
    after(&[Event::PointerMoved(at)], Palette::Lamp, view, DESIGNED)
}

fn place(shapes: &[ClippedShape], words: &str) -> Pos2 {
    picture::place_of(shapes, words).unwrap_or_else(|| panic!("“{words}” is not written"))
}

/// A place in the picture of the balance, over a named octave.
fn over_band(shapes: &[ClippedShape], octave: &str) -> Pos2 {
    pos2(place(shapes, octave).x, place(shapes, "+3").y)
}

/// A place in the strip, over a named time.
fn over_time(shapes: &[ClippedShape], time: &str) -> Pos2 {
    place(shapes, time) - vec2(0.0, 40.0)
}

fn saved(name: &str, draw: impl Fn(Palette) -> Picture) {
    for (palette, label) in [(Palette::Lamp, ""), (Palette::Paper, "-paper")] {
        let picture = draw(palette);
        save(&picture, &format!("{name}{label}"));
        contrast::hold(&picture, palette, name);
    }
}

/// Columns that are lit behind the bands.
fn lit_columns(picture: &Picture) -> Vec<Rect> {
    let (top, bottom) = (place(&picture.shapes, "+9").y, place(&picture.shapes, "−9").y);
    let column = |shape: &Shape| match shape {
        Shape::Rect(rect)
            if rect.fill == LAMP.raised
                && (rect.rect.top() - top).abs() < 4.0
                && (rect.rect.bottom() - bottom).abs() < 4.0 =>
        {
            Some(rect.rect)
        }
        _ => None,
    };
    picture.shapes.iter().filter_map(|clipped| column(&clipped.shape)).collect()
}

fn filled_rings(picture: &Picture) -> usize {
    circles(picture, |circle| {
        circle.fill == LAMP.ink && circle.stroke.color == LAMP.ink && circle.stroke.width > 0.0
    })
}

#[test]
fn a_band_is_named_and_said_in_words() {
    let view = views::working();
    let still = draw(&view, &views::shelf(), DESIGNED, 1.0);
    assert!(lit_columns(&still).is_empty());
    let at = over_band(&still.shapes, "1k");
    let picture = pointed(&view, at);
    let band = view.comparison.as_ref().unwrap().bands.iter().find(|band| band.nominal.0 == 1000.0).unwrap();
    assert!(!band.outside && band.off_db.abs() < 0.05, "as planted: {band:?}");
    let said = texts(&picture).into_iter().find(|text| text.starts_with("1 kHz: "));
    let said = said.unwrap_or_else(|| panic!("{:?}", texts(&picture)));
    assert!(said.starts_with("1 kHz: level with the middle record, inside theirs (−"), "{said}");
    assert!(said.ends_with("; mono leaves 0.5 dB less"), "{said}");
    let lit = lit_columns(&picture);
    assert!(lit.len() == 1 && lit[0].x_range().contains(at.x), "{lit:?}");
    assert!(!has_text(&picture, "square: outside"), "the legend makes way for it");
    assert!(has_text(&pointed(&view, over_band(&still.shapes, "4k")), "outside theirs"));
    let off = over_band(&still.shapes, "125");
    saved("pointed-off-scale", |palette| {
        after(&[Event::PointerMoved(off)], palette, &views::faults(), DESIGNED)
    });
    saved("pointed-band", |palette| after(&[Event::PointerMoved(at)], palette, &view, DESIGNED));
}

#[test]
fn a_place_says_its_clock_and_what_it_is() {
    let view = views::faults();
    let still = draw(&view, &views::shelf(), DESIGNED, 1.0);
    let said = |time: &str| texts(&pointed(&view, over_time(&still.shapes, time)));
    let heard = said("1:30");
    let words = heard.iter().find(|text| text.starts_with("1:30: −") || text.starts_with("1:29: −"));
    assert!(words.is_some_and(|words| words.contains("over 0 dBTP")), "{heard:?}");
    assert!(said("1:00").iter().any(|text| text.starts_with("1:0") && text.contains("aside now")));
    assert!(said("2:30").iter().any(|text| text.contains(": not heard")), "{:?}", said("2:30"));
    let at = over_time(&still.shapes, "1:30");
    saved("pointed-place", |palette| after(&[Event::PointerMoved(at)], palette, &view, DESIGNED));
}

#[test]
fn a_remark_lights_its_bands_and_its_place_and_they_their_remark() {
    let view = views::remarks();
    let still = draw(&view, &views::shelf(), DESIGNED, 1.0);
    assert_eq!(filled_rings(&still), 0);
    let at = place(&still.shapes, &view.remarks[0].text);
    let picture = pointed(&view, at);
    let (low, high) = (place(&still.shapes, "63").x, place(&still.shapes, "125").x);
    let lit = lit_columns(&picture);
    assert_eq!(lit.len(), 1, "{lit:?}");
    // 63 to 100 Hz are three bands; 125 Hz lies beside them.
    assert!(lit[0].x_range().contains(low) && !lit[0].x_range().contains(high), "{lit:?}");
    // Names stand on whole points.
    assert!((lit[0].width() - high + low).abs() < 1.0, "{lit:?}");
    assert_eq!(filled_rings(&picture), 1);
    let at_s = view.remarks[0].evidence.at_s.expect("it begins somewhere") as f32;
    let (minute, half) = (place(&still.shapes, "1:00").x, place(&still.shapes, "1:30").x);
    let wanted = minute + (half - minute) * (at_s - 60.0) / 30.0;
    let dashes = lines(&picture.shapes, |[from, to], stroke| {
        stroke.color == LAMP.ink && from.x == to.x && (from.x - wanted).abs() < 1.0 && to.y > 400.0
    });
    assert!(dashes >= 5, "a dashed line at {at_s} s");
    saved("pointed-remark", |palette| after(&[Event::PointerMoved(at)], palette, &view, DESIGNED));

    assert_eq!(filled_rings(&pointed(&view, over_band(&still.shapes, "63"))), 1);
    assert_eq!(filled_rings(&pointed(&view, over_band(&still.shapes, "500"))), 0);
    assert_eq!(filled_rings(&pointed(&view, pos2(wanted, over_time(&still.shapes, "1:30").y))), 1);
}

#[test]
fn whatever_is_pointed_at_no_text_covers_another() {
    for (name, view, choice) in named_views() {
        if view.trouble.is_some() {
            continue;
        }
        for size in [DESIGNED, vec2(800.0, 520.0), SMALLEST] {
            let mut open = open();
            (open.view, open.choice, open.size) = (view.clone(), choice.clone(), size);
            for (x, y) in (0..8).flat_map(|x| (0..8).map(move |y| (x as f32, y as f32))) {
                let at = pos2(size.x * (x + 0.5) / 8.0, size.y * (y + 0.5) / 8.0);
                // What lies under the pointer is known a frame later.
                open.frame(vec![Event::PointerMoved(at)]);
                let (shapes, _) = open.frame(Vec::new());
                geometry::hold(&shapes, size, &format!("{name} at {size:?}, pointed at {at:?}"));
            }
        }
    }
}

#[test]
fn a_part_of_the_strip_is_chosen_by_a_drag() {
    let view = views::working();
    let still = draw(&view, &views::shelf(), DESIGNED, 1.0);
    let (from, to) = (over_time(&still.shapes, "0:30"), over_time(&still.shapes, "1:30"));
    let away = pos2(20.0, 20.0);
    let drag = [
        Event::PointerMoved(from),
        button(from, true),
        Event::PointerMoved(from + vec2(20.0, 0.0)),
        Event::PointerMoved(to),
        button(to, false),
        Event::PointerMoved(away),
    ];
    let picture = after(&drag, Palette::Lamp, &view, DESIGNED);
    assert!(has_text(&picture, "0:30–1:30") || has_text(&picture, "0:30–1:29"), "{:?}", texts(&picture));
    geometry::hold(&picture.shapes, DESIGNED, "part of the strip");
    assert!(!texts(&picture).contains(&"3:00".to_owned()));
    // The playhead, at 1:58, is not there.
    let heads = lines(&picture.shapes, |_, stroke| stroke.width == 1.6 && stroke.color == LAMP.ink);
    assert_eq!(heads, 0);
    saved("strip-part", |palette| after(&drag, palette, &view, DESIGNED));
}

#[test]
fn the_pictures_and_the_remarks_have_names_for_readers_of_screens() {
    let mut open = open();
    open.view = views::remarks();
    let tree = open.tree();
    let names: Vec<&str> = tree.nodes.iter().filter_map(|(_, node)| node.label().or(node.value())).collect();
    let remarks = open.view.remarks.iter().map(|remark| remark.text.as_str());
    let pictures = [
        "Balance: 6 of 31 bands outside the records; 1.2 dB brighter since the start",
        "The song: 2:10 of 3:40 heard",
    ];
    for wanted in pictures.into_iter().chain(remarks) {
        assert!(names.contains(&wanted), "“{wanted}” is not among {names:?}");
    }
}
