//! Pictures of the editor, drawn without a window: they are written out to be looked at, and what they must hold
//! is checked on their shapes.

mod beads;
mod contrast;
mod dimming;
mod evening;
mod far;
mod geometry;
mod hint;
mod kept;
mod keyboard;
mod marking;
mod named;
mod open;
mod pencil;
mod picking;
mod pointing;
mod seen;
mod settings;
mod sheets;
mod sizes;
mod song;
mod strip;
mod strip_keys;
mod views;

use candlemark_analysis::Db;
use candlemark_editor::palette::{Colours, Palette};
use candlemark_editor::{Choice, Controls, Look, show};
use candlemark_session::drift::{Drifts, Moved};
use candlemark_session::view::View;
use candlemark_tests::paths;
use candlemark_tests::picture::{self, Picture};
use egui::{Shape, Ui, Vec2, vec2};
use seen::{circles, has_text, texts, written};

/// The window as designed, and the smallest one, in points.
const DESIGNED: Vec2 = vec2(1084.0, 680.0);
const SMALLEST: Vec2 = vec2(640.0, 400.0);

/// The colours in which a picture is drawn unless another palette is asked for.
const LAMP: &Colours = Palette::Lamp.colours();

/// The look to begin with, but that the hint for the first time is gone.
const SEEN: Look = Look {
    palette: Palette::Lamp,
    zoom_percent: 100,
    far: false,
    floor_percent: 35,
    rings_always: false,
    as_heard: false,
    hint_seen: true,
};

fn draw(view: &View, choice: &Choice, size: Vec2, pixels_per_point: f32) -> Picture {
    draw_as(SEEN, view, choice, size, pixels_per_point)
}

fn draw_as(look: Look, view: &View, choice: &Choice, size: Vec2, pixels_per_point: f32) -> Picture {
    Picture::of(size, pixels_per_point, |ui| {
        assert_eq!(show(ui, view, choice, &controls_of(view), look), [], "nobody clicked");
    })
}

/// The picture after a click on these words.
fn clicked(words: &str, size: Vec2, draw: impl Fn(&mut Ui)) -> Picture {
    let shapes = picture::shapes(size, 1.0, &draw);
    let at = picture::place_of(&shapes, words).unwrap_or_else(|| panic!("“{words}” is not written"));
    Picture::after(&picture::click(at), size, 1.0, draw)
}

/// Writes a picture out, to be looked at.
fn save(picture: &Picture, name: &str) {
    picture.save(&paths::target().join(format!("pictures/{name}.png"))).expect("the picture can be written");
}

/// The controls that go with a view: all is well, or much is going on.
fn controls_of(view: &View) -> Controls {
    if *view == views::faults() { views::busy_controls() } else { views::controls() }
}

fn named_views() -> Vec<(&'static str, View, Choice)> {
    let (shelf, empty) = (views::shelf(), Choice::default());
    let unchosen = Choice { in_use: None, ..shelf.clone() };
    let long_name =
        "everything that was made in that house between the two winters, first to last".to_owned();
    let long_name = Choice { names: vec![long_name.clone()], in_use: Some(long_name), ..Choice::default() };
    let trouble = Choice {
        trouble: Some(
            "The yardstick “a louder evening” can’t be used: line 12, column 4 is not a number. Take it again \
             from its records, or choose another."
                .into(),
        ),
        ..shelf.clone()
    };
    let rate = View {
        trouble: Some("Nothing is measured at 4000 Hz: choose a sample rate between 8 and 384 kHz.".into()),
        ..View::default()
    };
    vec![
        ("working", views::working(), shelf.clone()),
        ("two-records", views::two_records(), shelf.clone()),
        ("one-record", views::one_record(), shelf.clone()),
        ("no-yardstick", views::no_yardstick(), unchosen),
        ("by-time", views::by_time(), shelf.clone()),
        ("just-opened", views::just_opened(), empty.clone()),
        ("spent", views::spent(), shelf.clone()),
        ("fading", views::fading(), shelf.clone()),
        ("faults", views::faults(), shelf.clone()),
        ("remarks", views::remarks(), shelf.clone()),
        ("marked", evening::marked(), shelf.clone()),
        ("song", song::harbour(), shelf.clone()),
        ("at-the-chair", evening::at_the_chair(), shelf.clone()),
        ("loud-at-the-chair", evening::loud_at_the_chair(), shelf.clone()),
        ("unconfirmed", evening::unconfirmed(), shelf.clone()),
        ("rest-due", evening::rest_due(), shelf.clone()),
        ("resting", evening::resting(), shelf),
        ("wide-figures", views::wide_figures(), long_name),
        ("trouble", views::working(), trouble.clone()),
        ("everything-said", View { candle: views::spent().candle, ..views::remarks() }, trouble),
        ("unmeasured", rate, empty),
    ]
}

#[test]
fn every_view_is_drawn_inside_the_window_and_no_text_covers_another() {
    for (name, view, choice) in named_views() {
        for (size, label) in [(DESIGNED, ""), (SMALLEST, "-small"), (vec2(1600.0, 1000.0), "-large")] {
            let picture = draw(&view, &choice, size, 1.0);
            save(&picture, &format!("{name}{label}"));
            geometry::hold(&picture.shapes, size, &format!("{name}{label}"));
        }
        let paper = Look { palette: Palette::Paper, ..SEEN };
        let picture = draw_as(paper, &view, &choice, DESIGNED, 1.0);
        save(&picture, &format!("{name}-paper"));
        geometry::hold(&picture.shapes, DESIGNED, &format!("{name}-paper"));
    }
}

#[test]
fn a_dense_screen_shows_the_same_in_more_pixels() {
    let picture = draw(&views::working(), &views::shelf(), DESIGNED, 2.0);
    save(&picture, "working-dense");
    assert_eq!(picture.size, [2168, 1360]);
    geometry::hold(&picture.shapes, DESIGNED, "working, dense");
}

#[test]
fn the_same_view_gives_the_same_pixels() {
    let (view, choice) = (views::faults(), views::shelf());
    assert!(draw(&view, &choice, DESIGNED, 1.0).pixels == draw(&view, &choice, DESIGNED, 1.0).pixels);
}

#[test]
fn what_does_not_exist_yet_is_a_dash() {
    let picture = draw(&views::just_opened(), &Choice::default(), DESIGNED, 1.0);
    let dashes = texts(&picture).iter().filter(|text| *text == "–").count();
    assert_eq!(dashes, 15, "every figure: {:?}", texts(&picture));
    assert!(!texts(&picture).iter().any(|text| text == "0.0"));
}

fn light(picture: &Picture) -> f64 {
    // Right of the candle's column and under the sentences, neither of which dims.
    let [width, height] = picture.size;
    let lit = (60..height).flat_map(|y| (120..width).map(move |x| (x, y)));
    lit.map(|(x, y)| f64::from(picture.pixel(x, y).g())).sum()
}

#[test]
fn when_the_time_is_spent_the_picture_is_as_dark_as_the_candle_says() {
    let lit = draw(&views::working(), &views::shelf(), DESIGNED, 1.0);
    let dimmed = draw(&views::spent(), &views::shelf(), DESIGNED, 1.0);
    let share = light(&dimmed) / light(&lit);
    // Colours are whole numbers: half a step of the background's 25 is 2 %.
    assert!((share - Look::default().floor_share()).abs() < 0.03, "{share}");
    assert!(has_text(&dimmed, "The two hours are up"));
    assert_eq!(dimmed.pixel(5, 400), LAMP.background, "the candle's column stays lit");
    assert_ne!(dimmed.pixel(1080, 400), LAMP.background);
    assert_eq!(lit.pixel(1080, 400), LAMP.background);
}

/// The figure of the drift, beside the picker; in the smallest window by itself, or not at all where the picker leaves nothing.
#[test]
fn what_the_balance_has_drifted_by_is_told_as_one_figure() {
    let mut view = views::remarks();
    let written = |view: &View, size| {
        let picture = draw(view, &views::shelf(), size, 1.0);
        let told = texts(&picture).into_iter().find(|text| text.contains("brighter since"));
        told.unwrap_or_default()
    };
    assert!(written(&view, DESIGNED).ends_with("heard · 1.2 dB brighter since the start"));
    assert!(written(&view, SMALLEST).ends_with("1.2 dB brighter since the start"));
    let start = view.drifts.since_start.clone();
    let rest = start.clone().map(|moved| Moved { brighter_db: Some(Db(0.4)), ..moved });
    view.drifts = Drifts { since_rest: rest, since_start: start }.into();
    assert!(
        written(&view, DESIGNED)
            .ends_with("2:10 of 3:40 heard · 0.4 dB brighter since rest, 1.2 since the start")
    );
}

#[test]
fn remarks_are_numbered_on_top_in_their_order() {
    let view = views::remarks();
    let ids: Vec<&str> = view.remarks.iter().map(|remark| remark.id.as_str()).collect();
    assert_eq!(ids, ["low-end-fold", "balance", "compression"], "as planted");
    let picture = draw(&view, &views::shelf(), DESIGNED, 1.0);
    let place = |words: &str| written(&picture, words).visual_bounding_rect();
    let mut above = 0.0;
    for (remark, number) in view.remarks.iter().zip(1..) {
        let (sentence, number) = (place(&remark.text), place(&number.to_string()));
        assert!(sentence.top() > above && sentence.bottom() < DESIGNED.y / 4.0, "{sentence:?}");
        assert!(sentence.y_range().contains(number.center().y) && number.right() < sentence.left());
        let ring = circles(&picture, |circle| {
            circle.stroke.color == LAMP.ink && circle.center.distance(number.center()) < 1.5
        });
        assert_eq!(ring, 1, "around {number:?}");
        above = sentence.bottom();
    }
}

#[test]
fn the_candle_burns_down() {
    let height = |view: &View| {
        let picture = draw(view, &views::shelf(), DESIGNED, 1.0);
        let wax = |shape: &Shape| match shape {
            Shape::Rect(rect) if rect.stroke.color == LAMP.ink && rect.rect.max.x < 100.0 => {
                Some(rect.rect.height())
            }
            _ => None,
        };
        picture.shapes.iter().find_map(|clipped| wax(&clipped.shape)).expect("there is a candle")
    };
    let (fresh, burning, spent) =
        (height(&views::just_opened()), height(&views::working()), height(&views::spent()));
    assert!((burning / fresh - 0.42).abs() < 0.01, "{burning} of {fresh}");
    assert!(spent < burning);
}
