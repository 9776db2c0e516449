//! The song strip's picture.

use egui::Shape;

use crate::seen::{has_text, lines, texts};
use crate::{DESIGNED, LAMP, draw, views};

#[test]
fn where_nothing_was_heard_the_strip_has_a_gap() {
    let view = views::working();
    let picture = draw(&view, &views::shelf(), DESIGNED, 1.0);
    let heavy = picture.shapes.iter().filter_map(|clipped| match &clipped.shape {
        Shape::Path(path) if path.stroke.width == 2.6 => Some(path.visual_bounding_rect().x_range()),
        _ => None,
    });
    let runs: Vec<egui::Rangef> = heavy.collect();
    assert_eq!(runs.len(), 3, "around two holes: {runs:?}");
    // It is shown from 0 to 220 s; the holes lie from 100 to 108 s and from 118 to 200.
    let second = (runs[2].max - runs[0].min) / 220.0;
    let song_s = |x: f32| (x - runs[0].min) / second;
    for (edge, wanted) in
        [(runs[0].max, 100.0), (runs[1].min, 108.0), (runs[1].max, 118.0), (runs[2].min, 200.0)]
    {
        assert!((song_s(edge) - wanted).abs() < 1.0, "{} is not {wanted}", song_s(edge));
    }
    // A line along the bottom lies where the song was heard, and the legend says what a gap is.
    let heard = lines(&picture.shapes, |[from, to], stroke| {
        from.y == to.y && stroke.width == 2.0 && stroke.color == LAMP.wire
    });
    assert_eq!(heard, 3);
    assert!(has_text(&picture, "gap: not heard"));
    assert!(has_text(&picture, "2:10 of 3:40 heard"));
}

#[test]
fn aside_and_overs_are_told() {
    let picture = draw(&views::faults(), &views::shelf(), DESIGNED, 1.0);
    for words in ["aside now: not counted", "ticks: overs", "14 overs"] {
        assert!(has_text(&picture, words), "{words}");
    }
    let ticks = lines(&picture.shapes, |[from, to], stroke| {
        let is_tick = from.x == to.x && (to.y - from.y - 9.0).abs() < 0.1;
        is_tick && stroke.color == LAMP.accent && stroke.width == 2.0
    });
    assert_eq!(ticks, 6, "one for each cell with an over");
}

#[test]
fn without_a_position_the_last_ten_minutes_are_shown_and_no_length_is_claimed() {
    let picture = draw(&views::by_time(), &views::shelf(), DESIGNED, 1.0);
    assert!(has_text(&picture, "no position from the host") || has_text(&picture, "last ten minutes"));
    assert!(has_text(&picture, "2:10 of the song heard"));
    let times = texts(&picture);
    assert!(times.iter().any(|time| time == "15:00") && !times.iter().any(|time| time == "0:00"));
}
