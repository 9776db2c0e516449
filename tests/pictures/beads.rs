//! The balance's picture: beads, wires and rings.

use candlemark_editor::{Choice, Look};
use candlemark_tests::picture::Picture;
use egui::{Color32, Pos2, Rect, Shape};

use crate::seen::{circles, has_text, lines, squares, texts, written};
use crate::{DESIGNED, LAMP, SEEN, draw, draw_as, views};

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
        circles(&picture, |circle| circle.fill == LAMP.ink),
        shown().count() - outside.len() + HINGE_PIVOT
    );
}

#[test]
fn rings_stand_where_mono_leaves_with_their_figures() {
    let picture = draw(&views::working(), &views::shelf(), DESIGNED, 1.0);
    let rings = circles(&picture, |circle| circle.stroke.color == LAMP.accent);
    // One more stands before the song's own fold, which lies below the records'.
    assert_eq!(rings, views::RINGS.len() + 1);
    for figure in ["−3", "−5", "−2"] {
        assert!(texts(&picture).iter().any(|text| text == figure), "{figure}: {:?}", texts(&picture));
    }
    let lost = draw(&views::faults(), &views::shelf(), DESIGNED, 1.0);
    assert!(has_text(&lost, "lost"));
}

#[test]
fn where_every_ring_is_asked_for_those_that_are_ordinary_are_pale() {
    let draw = |rings_always: bool| {
        draw_as(Look { rings_always, ..SEEN }, &views::wide(), &views::shelf(), DESIGNED, 1.0)
    };
    let rings = |picture: &Picture, colour| circles(picture, |circle| circle.stroke.color == colour);
    let (few, all) = (draw(false), draw(true));
    let told = rings(&few, LAMP.accent);
    assert_eq!([rings(&few, LAMP.note), rings(&all, LAMP.accent)], [0, told]);
    // Each of the 29 bands loses more than half a decibel; one more ring stands before the song's own fold.
    assert_eq!(rings(&all, LAMP.note) + told, 29 + 1);
    assert!(has_text(&all, "pale"));
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
    assert!(has_text(&picture, "take a yardstick from their files above"));
    assert_eq!(circles(&picture, |circle| circle.fill == LAMP.ink), 29 + HINGE_PIVOT);
    assert_eq!(squares(&picture), 0);
}

/// Corners of the filled triangles of a colour.
fn arrows(picture: &Picture, colour: Color32) -> Vec<Vec<Pos2>> {
    let arrow = |shape: &Shape| match shape {
        Shape::Path(path) if path.closed && path.fill == colour && path.points.len() == 3 => {
            Some(path.points.clone())
        }
        _ => None,
    };
    picture.shapes.iter().filter_map(|clipped| arrow(&clipped.shape)).collect()
}

/// Height of a level's line, by the name that stands beside it.
fn level(picture: &Picture, name: &str) -> f32 {
    let top = written(picture, name).pos.y;
    let lines = picture.shapes.iter().filter_map(|clipped| match &clipped.shape {
        Shape::LineSegment { points: [from, to], .. } if from.y == to.y && to.x - from.x > 300.0 => {
            Some(from.y)
        }
        _ => None,
    });
    lines.min_by(|a, b| (a - top - 8.0).abs().total_cmp(&(b - top - 8.0).abs())).expect("there are lines")
}

#[test]
fn a_band_off_the_scale_is_told_by_an_arrow_to_the_edge_and_its_figure() {
    let view = views::faults();
    let picture = draw(&view, &views::shelf(), DESIGNED, 1.0);
    let comparison = view.comparison.expect("a yardstick is in use");
    let off: Vec<f64> = comparison
        .bands
        .iter()
        .filter(|band| (25.0..=16000.0).contains(&band.nominal.0) && band.off_db.abs() > 9.0)
        .map(|band| band.off_db)
        .collect();
    let above = off.iter().filter(|off_db| **off_db > 0.0).count();
    assert!(above >= 2 && off.len() - above >= 2, "planted: {off:?}");
    for off_db in &off {
        let figure = format!("{off_db:+.0}").replace('-', "−");
        assert!(texts(&picture).contains(&figure), "{figure}: {:?}", texts(&picture));
    }
    assert!(has_text(&picture, "arrow: off the scale"));
    let (top, bottom) = (level(&picture, "+9"), level(&picture, "−9"));
    let tips = arrows(&picture, LAMP.outside);
    assert_eq!(tips.iter().filter(|tip| (tip[0].y - top).abs() < 0.01).count(), above, "{tips:?}");
    // Every mark stands inside the scale, and no bead on its own ring.
    let squares = picture.shapes.iter().filter_map(|clipped| match &clipped.shape {
        Shape::Rect(rect) if rect.fill == LAMP.outside && rect.rect.height() > 10.0 => Some(rect.rect),
        _ => None,
    });
    let rings: Vec<Pos2> = picture
        .shapes
        .iter()
        .filter_map(|clipped| match &clipped.shape {
            Shape::Circle(circle) if circle.stroke.color == LAMP.accent => Some(circle.center),
            _ => None,
        })
        .collect();
    for square in squares {
        assert!(square.top() >= top && square.bottom() <= bottom, "{square:?} in {top} to {bottom}");
        assert!(!rings.iter().any(|ring| square.contains(*ring)), "a ring lies under {square:?}");
    }
    let rings_below = arrows(&picture, LAMP.accent)
        .iter()
        .filter(|tip| tip.iter().any(|at| (at.y - bottom).abs() < 0.01))
        .count();
    assert!(rings_below >= 10, "{rings_below}");
}

/// Upright lines of the wires' colour as wide as the thin one, and the wires between knots.
fn wires(picture: &Picture) -> (Vec<Rect>, Vec<Rect>) {
    let (mut thin, mut between) = (Vec::new(), Vec::new());
    for clipped in &picture.shapes {
        match &clipped.shape {
            Shape::LineSegment { points: [from, to], stroke }
                if from.x == to.x && stroke.width == 1.6 && stroke.color == LAMP.wire =>
            {
                thin.push(Rect::from_two_pos(*from, *to));
            }
            Shape::Rect(rect) if rect.fill == LAMP.wire => between.push(rect.rect),
            _ => {}
        }
    }
    (thin, between)
}

#[test]
fn a_thin_wire_shows_how_records_move_and_knots_hold_the_stretch_on_which_they_lie() {
    let view = views::working();
    let picture = draw(&view, &views::shelf(), DESIGNED, 1.0);
    let (thin, between) = wires(&picture);
    assert_eq!([thin.len(), between.len()], [29, 29]);
    let (zero, nine) = (level(&picture, "0"), level(&picture, "+9"));
    let y = |db: f64| zero - (zero - nine) * (db / 9.0) as f32;
    let comparison = view.comparison.expect("a yardstick is in use");
    let shown = comparison.bands.iter().filter(|band| (25.0..=16000.0).contains(&band.nominal.0));
    for ((band, thin), between) in shown.zip(&thin).zip(&between) {
        let close = |place: f32, db: f64, slack: f32| (place - y(db)).abs() <= slack;
        assert!(close(thin.top(), band.within_high_db, 0.1) && close(thin.bottom(), band.within_low_db, 0.1));
        // Its round ends lie within the knots, just outside the outermost records.
        assert!(close(between.top(), band.high_db, 3.1) && close(between.bottom(), band.low_db, 3.1));
        assert!(between.width() > 2.0 * thin.width());
    }
}

#[test]
fn one_record_and_two_are_places_from_which_nothing_is_judged() {
    let dashes = |picture: &Picture| {
        lines(&picture.shapes, |[from, to], stroke| {
            from.y == to.y && stroke.color == LAMP.wire && stroke.width == 3.0
        })
    };
    for (view, count) in [(views::one_record(), 1), (views::two_records(), 2)] {
        let picture = draw(&view, &views::shelf(), DESIGNED, 1.0);
        assert_eq!(dashes(&picture), 29 * count);
        let (thin, between) = wires(&picture);
        assert_eq!([thin.len(), between.len()], [29, 0]);
        assert_eq!(squares(&picture), 0);
        assert!(has_text(&picture, "three or more"), "{:?}", texts(&picture));
    }
}
