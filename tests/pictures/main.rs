//! Pictures of the editor, drawn without a window: they are written out to be looked at, and what they must hold
//! is checked on their shapes.

mod geometry;
mod picking;
mod views;

use candlemark_editor::{Choice, Controls, palette, show};
use candlemark_session::candle::FLOOR_SHARE;
use candlemark_session::view::View;
use candlemark_tests::paths;
use candlemark_tests::picture::{self, Picture};
use egui::{Color32, Shape, Vec2, vec2};

/// The window as designed, and the smallest one, in points.
const DESIGNED: Vec2 = vec2(1084.0, 680.0);
const SMALLEST: Vec2 = vec2(800.0, 520.0);

fn draw(view: &View, choice: &Choice, size: Vec2, pixels_per_point: f32) -> Picture {
    Picture::of(size, pixels_per_point, |ui| {
        assert_eq!(show(ui, view, choice, &controls_of(view)), [], "nobody clicked");
    })
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
    let long_name = Choice { names: vec![long_name.clone()], in_use: Some(long_name), trouble: None };
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
        ("no-yardstick", views::no_yardstick(), unchosen),
        ("just-opened", views::just_opened(), empty.clone()),
        ("spent", views::spent(), shelf.clone()),
        ("fading", views::fading(), shelf.clone()),
        ("faults", views::faults(), shelf.clone()),
        ("remarks", views::remarks(), shelf),
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
            let path = paths::target().join(format!("pictures/{name}{label}.png"));
            picture.save(&path).expect("the picture can be written");
            geometry::hold(&picture.shapes, size, &format!("{name}{label}"));
        }
    }
}

#[test]
fn a_dense_screen_shows_the_same_in_more_pixels() {
    let picture = draw(&views::working(), &views::shelf(), DESIGNED, 2.0);
    picture.save(&paths::target().join("pictures/working-dense.png")).expect("the picture can be written");
    assert_eq!(picture.size, [2168, 1360]);
    geometry::hold(&picture.shapes, DESIGNED, "working, dense");
}

#[test]
fn every_size_between_holds_too() {
    for step in 0..=8 {
        let size = SMALLEST + (DESIGNED - SMALLEST) * (step as f32 / 8.0);
        for size in [size, vec2(size.x, DESIGNED.y), vec2(DESIGNED.x, size.y)] {
            for (name, view, choice) in named_views() {
                let shapes = picture::shapes(size, 1.0, |ui| {
                    show(ui, &view, &choice, &controls_of(&view));
                });
                geometry::hold(&shapes, size, &format!("{name} at {size:?}"));
            }
        }
    }
}

#[test]
fn the_same_view_gives_the_same_pixels() {
    let (view, choice) = (views::faults(), views::shelf());
    assert!(draw(&view, &choice, DESIGNED, 1.0).pixels == draw(&view, &choice, DESIGNED, 1.0).pixels);
}

fn squares(picture: &Picture) -> usize {
    let square = |shape: &Shape| matches!(shape, Shape::Rect(rect) if rect.fill == palette::OUTSIDE);
    picture.shapes.iter().filter(|clipped| square(&clipped.shape)).count()
}

fn circles(picture: &Picture, is: impl Fn(&egui::epaint::CircleShape) -> bool) -> usize {
    let circle = |shape: &Shape| matches!(shape, Shape::Circle(circle) if is(circle));
    picture.shapes.iter().filter(|clipped| circle(&clipped.shape)).count()
}

fn texts(picture: &Picture) -> Vec<String> {
    let text = |shape: &Shape| match shape {
        Shape::Text(text) => Some(text.galley.text().to_owned()),
        _ => None,
    };
    picture.shapes.iter().filter_map(|clipped| text(&clipped.shape)).collect()
}

fn has_text(picture: &Picture, wanted: &str) -> bool {
    texts(picture).iter().any(|text| text.contains(wanted))
}

const HINGE_PIVOT: usize = 1;

#[test]
fn bands_outside_are_square_and_the_others_round() {
    let view = views::working();
    let picture = draw(&view, &views::shelf(), DESIGNED, 1.0);
    let comparison = view.comparison.expect("a yardstick is in use");
    let shown = || comparison.bands.iter().filter(|band| (25.0..=16000.0).contains(&band.nominal.0));
    let outside: Vec<f64> = shown().filter(|band| band.outside).map(|band| band.nominal.0).collect();
    assert_eq!(outside, views::OUTSIDE_HZ, "as planted");
    // Two of the figures lie outside the records as well: the range and the song's peak over its loudness.
    assert_eq!(squares(&picture), outside.len() + 2);
    assert_eq!(
        circles(&picture, |circle| circle.fill == palette::INK),
        shown().count() - outside.len() + HINGE_PIVOT
    );
}

#[test]
fn rings_stand_where_mono_leaves_with_their_figures() {
    let picture = draw(&views::working(), &views::shelf(), DESIGNED, 1.0);
    let rings = circles(&picture, |circle| circle.stroke.color == palette::ACCENT);
    // One more stands before the song's own fold, which lies below the records'.
    assert_eq!(rings, views::RINGS.len() + 1);
    for figure in ["−3", "−5", "−2"] {
        assert!(texts(&picture).iter().any(|text| text == figure), "{figure}: {:?}", texts(&picture));
    }
    let lost = draw(&views::faults(), &views::shelf(), DESIGNED, 1.0);
    assert!(has_text(&lost, "lost"));
}

#[test]
fn with_two_records_nothing_is_called_outside() {
    let picture = draw(&views::two_records(), &views::shelf(), DESIGNED, 1.0);
    assert_eq!(squares(&picture), 0);
    assert!(has_text(&picture, "nothing is called outside"));
}

#[test]
fn without_a_yardstick_the_song_is_shown_and_how_to_take_one() {
    let picture = draw(&views::no_yardstick(), &Choice::default(), DESIGNED, 1.0);
    assert!(has_text(&picture, "candlemark yardstick take"));
    assert_eq!(circles(&picture, |circle| circle.fill == palette::INK), 29 + HINGE_PIVOT);
    assert_eq!(squares(&picture), 0);
}

#[test]
fn what_does_not_exist_yet_is_a_dash() {
    let picture = draw(&views::just_opened(), &Choice::default(), DESIGNED, 1.0);
    let dashes = texts(&picture).iter().filter(|text| *text == "–").count();
    assert_eq!(dashes, 10, "every figure: {:?}", texts(&picture));
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
    assert!((share - FLOOR_SHARE).abs() < 0.03, "{share}");
    assert!(has_text(&dimmed, "time is up"));
    assert_eq!(dimmed.pixel(5, 400), palette::BACKGROUND, "the candle's column stays lit");
    assert_ne!(dimmed.pixel(1080, 400), palette::BACKGROUND);
    assert_eq!(lit.pixel(1080, 400), palette::BACKGROUND);
}

#[test]
fn remarks_are_numbered_on_top_in_their_order() {
    let view = views::remarks();
    let ids: Vec<&str> = view.remarks.iter().map(|remark| remark.id.as_str()).collect();
    assert_eq!(ids, ["low-end-fold", "balance", "compression"], "as planted");
    let picture = draw(&view, &views::shelf(), DESIGNED, 1.0);
    let place = |words: &str| {
        let found = picture.shapes.iter().find_map(|clipped| match &clipped.shape {
            Shape::Text(text) if text.galley.text() == words => Some(text.visual_bounding_rect()),
            _ => None,
        });
        found.unwrap_or_else(|| panic!("“{words}” is not written"))
    };
    let mut above = 0.0;
    for (remark, number) in view.remarks.iter().zip(1..) {
        let (sentence, number) = (place(&remark.text), place(&number.to_string()));
        assert!(sentence.top() > above && sentence.bottom() < DESIGNED.y / 4.0, "{sentence:?}");
        assert!(sentence.y_range().contains(number.center().y) && number.right() < sentence.left());
        let ring = circles(&picture, |circle| {
            circle.stroke.color == palette::ACCENT && circle.center.distance(number.center()) < 1.5
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
            Shape::Rect(rect) if rect.stroke.color == palette::INK && rect.rect.max.x < 100.0 => {
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

#[test]
fn aside_and_overs_are_told() {
    let picture = draw(&views::faults(), &views::shelf(), DESIGNED, 1.0);
    for words in ["aside now: not counted", "hatched: aside", "ticks: overs", "14 overs"] {
        assert!(has_text(&picture, words), "{words}");
    }
    let ticks = picture.shapes.iter().filter(|clipped| {
        matches!(clipped.shape, Shape::LineSegment { points: [from, to], stroke }
            if stroke.color == palette::ACCENT && from.x == to.x && (to.y - from.y - 9.0).abs() < 0.1 && stroke.width == 2.0)
    });
    assert_eq!(ticks.count(), 6, "one for each cell with an over");
}

#[test]
fn every_text_has_a_colour_of_the_palette() {
    for (name, view, choice) in named_views() {
        for clipped in draw(&view, &choice, DESIGNED, 1.0).shapes {
            let Shape::Text(text) = clipped.shape else { continue };
            let sections = text.galley.job.sections.iter();
            for colour in sections.map(|section| section.format.color).filter(|c| *c != Color32::PLACEHOLDER)
            {
                assert!(palette::TEXT_ON.iter().any(|(known, _)| *known == colour), "{name}: {colour:?}");
            }
        }
    }
}

#[test]
fn where_nothing_was_heard_the_strip_has_a_gap() {
    let view = views::working();
    let picture = draw(&view, &views::shelf(), DESIGNED, 1.0);
    let heavy = picture.shapes.iter().filter_map(|clipped| match &clipped.shape {
        Shape::Path(path) if path.stroke.width == 2.6 => Some(path.visual_bounding_rect().x_range()),
        _ => None,
    });
    let runs: Vec<egui::Rangef> = heavy.collect();
    assert_eq!(runs.len(), 2, "before the hole and after it: {runs:?}");
    // The hole is 7 s of 220 s.
    let share = (runs[1].min - runs[0].max) / (runs[1].max - runs[0].min) * 172.0;
    assert!((share - 7.0).abs() < 1.5, "{share} s");
}

#[test]
fn a_band_off_the_scale_is_told_with_its_figure() {
    let view = views::faults();
    let picture = draw(&view, &views::shelf(), DESIGNED, 1.0);
    let comparison = view.comparison.expect("a yardstick is in use");
    let off: Vec<f64> = comparison
        .bands
        .iter()
        .filter(|band| (25.0..=16000.0).contains(&band.nominal.0) && band.off_db.abs() > 9.0)
        .map(|band| band.off_db)
        .collect();
    assert!(off.len() >= 4, "planted: {off:?}");
    for off_db in off {
        let figure = format!("{off_db:+.0}").replace('-', "−");
        assert!(texts(&picture).contains(&figure), "{figure}: {:?}", texts(&picture));
    }
}
