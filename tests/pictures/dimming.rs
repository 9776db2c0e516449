//! A picture whose time is up: dimmed, woken, dimmed again, and never so that a fault is hidden.

use std::time::Duration;

use candlemark_session::view::View;
use candlemark_tests::picture::button;
use egui::epaint::ClippedShape;
use egui::{Color32, Event, Key, Pos2, Shape, ViewportId};

use crate::open::{Open, open};
use crate::seen::has_text_in;
use crate::{DESIGNED, draw_as, save, views};

/// How dark the veil over the picture is, 0 to 255, and where it lies among the shapes.
fn veil(shapes: &[ClippedShape]) -> Option<(u8, usize)> {
    shapes.iter().enumerate().find_map(|(index, clipped)| match &clipped.shape {
        Shape::Rect(rect) if rect.fill == Color32::from_black_alpha(rect.fill.a()) && rect.fill.a() > 0 => {
            Some((rect.fill.a(), index))
        }
        _ => None,
    })
}

fn spent() -> Open {
    let mut open = open();
    open.view = views::spent();
    open
}

fn is_dimmed(open: &mut Open) -> bool {
    veil(&open.frame(Vec::new()).0).is_some()
}

#[test]
fn a_key_or_a_click_wakes_it_for_five_minutes_but_not_the_space_bar() {
    let mut open = spent();
    assert!(is_dimmed(&mut open));
    open.key(Key::Space);
    open.frame(vec![Event::Text(" ".into())]);
    assert!(is_dimmed(&mut open), "the space bar is the host's");
    open.key(Key::A);
    assert!(!is_dimmed(&mut open));
    open.now_s += 299.0;
    assert!(!is_dimmed(&mut open), "in the fifth minute");
    open.now_s += 11.0;
    let fading = veil(&open.frame(Vec::new()).0).expect("it fades again").0;
    open.now_s += 15.0;
    let dimmed = veil(&open.frame(Vec::new()).0).expect("it is dimmed again").0;
    assert!(fading < dimmed, "{fading} of {dimmed}");
    let empty = Pos2::new(20.0, 300.0);
    open.frame(vec![Event::PointerMoved(empty), button(empty, true)]);
    assert!(!is_dimmed(&mut open));
}

#[test]
fn it_goes_down_to_the_floor_that_was_set() {
    for percent in candlemark_editor::FLOORS_PERCENT {
        let mut open = spent();
        open.look.floor_percent = percent;
        let (dark, _) = veil(&open.frame(Vec::new()).0).expect("it is dimmed");
        let bright_share = 1.0 - f64::from(dark) / 255.0;
        assert!((bright_share - f64::from(percent) / 100.0).abs() < 0.003, "{bright_share} for {percent} %");
    }
}

#[test]
fn it_says_why_and_how_to_wake_it_until_it_is_woken() {
    let says = |open: &mut Open, words: &str| open.texts().iter().any(|text| text.contains(words));
    let mut open = spent();
    assert!(says(
        &mut open,
        "The two hours are up. This is a good place to stop for today. A key or a click lights the picture for five minutes."
    ));
    open.key(Key::Enter);
    assert!(!says(&mut open, "The two hours are up"));
    open.view = views::fading();
    open.now_s += 1000.0;
    assert!(says(&mut open, "6 min of two hours are left"));
    open.view = views::working();
    assert!(!says(&mut open, "are left"));
}

/// Frames are asked for while it fades by itself, 30 a second, and not while nothing changes.
#[test]
fn only_a_running_fade_asks_for_frames() {
    let delay = |open: &mut Open| {
        open.frame(Vec::new());
        open.run(Vec::new()).0.viewport_output[&ViewportId::ROOT].repaint_delay
    };
    let mut open = spent();
    assert_eq!(delay(&mut open), Duration::MAX, "it stays dimmed");
    open.key(Key::A);
    let steady = delay(&mut open);
    assert!(steady > Duration::from_secs(290) && steady < Duration::from_mins(5), "{steady:?}");
    open.now_s += 305.0;
    let fading = delay(&mut open);
    assert!(fading >= Duration::from_millis(30) && fading <= Duration::from_millis(34), "{fading:?}");
    open.now_s += 30.0;
    assert_eq!(delay(&mut open), Duration::MAX);
}

/// Everything that is wrong, when the time is up.
fn spent_with_faults() -> View {
    View { candle: views::spent().candle, ..views::faults() }
}

/// On paper the letters of what is lit are dark: they need the ground that is lit as well.
#[test]
fn what_is_lit_stands_on_lit_ground() {
    for palette in candlemark_editor::palette::Palette::ALL {
        for (view, far) in
            [(views::spent(), false), (spent_with_faults(), false), (spent_with_faults(), true)]
        {
            let mut open = spent();
            (open.view, open.look.palette, open.look.far) = (view, palette, far);
            let (shapes, _) = open.frame(Vec::new());
            let (_, veil_index) = veil(&shapes).expect("it is dimmed");
            let ground = shapes[veil_index].shape.visual_bounding_rect();
            for clipped in &shapes[veil_index..] {
                if let Shape::Text(text) = &clipped.shape {
                    let place = text.visual_bounding_rect();
                    assert!(!ground.intersects(place), "{palette:?}, far {far}: “{}”", text.galley.text());
                }
            }
        }
    }
}

#[test]
fn an_over_and_a_fault_are_not_dimmed() {
    let mut open = spent();
    open.view = spent_with_faults();
    for far in [false, true] {
        open.look.far = far;
        let (shapes, _) = open.frame(Vec::new());
        let (_, veil_index) = veil(&shapes).expect("it is dimmed");
        let says = |words: &str| has_text_in(&shapes[veil_index..], words);
        assert!(says("14 overs"), "far: {far}");
        if far {
            // Of the remarks the one that is a fault, not the most urgent one on the mix.
            assert!(says("True peak goes to") && !says("above where those records have it"));
        }
        let picture = draw_as(open.look, &open.view, &open.choice, DESIGNED, 1.0);
        let name = if far { "far-faults-spent" } else { "faults-spent" };
        save(&picture, name);
        crate::geometry::hold(&picture.shapes, DESIGNED, name);
    }
}
