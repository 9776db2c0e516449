//! The hint for the first time: there until it is clicked on, or has been there long enough and no hand is near.

use candlemark_editor::{Look, Wish};
use candlemark_tests::paths;
use candlemark_tests::picture::Picture;
use egui::{Event, Pos2};

use crate::open::{button, open_with};
use crate::{DESIGNED, geometry, views};

const FRESH: Look = Look {
    palette: candlemark_editor::palette::Palette::Lamp,
    zoom_percent: 100,
    far: false,
    floor_percent: 35,
    rings_always: false,
    as_heard: false,
    hint_seen: false,
};

#[test]
fn a_fresh_project_shows_it() {
    assert_eq!(Look::default(), FRESH);
    let picture = Picture::of(DESIGNED, 1.0, |ui| {
        candlemark_editor::show(ui, &views::just_opened(), &views::shelf(), &views::controls(), FRESH);
    });
    picture.save(&paths::target().join("pictures/hint.png")).expect("it can be written");
    geometry::hold(&picture.shapes, DESIGNED, "hint");
    assert!(crate::seen::has_text(
        &picture,
        "Turn the monitors down first, then play the song from its start."
    ));
}

#[test]
fn it_leaves_by_a_click() {
    let mut open = open_with(FRESH);
    let on_it = Pos2::new(500.0, 15.0);
    open.frame(vec![Event::PointerMoved(on_it)]);
    open.frame(vec![button(on_it, true)]);
    assert_eq!(open.frame(vec![button(on_it, false)]).1, [Wish::Look(Look { hint_seen: true, ..FRESH })]);
}

/// What lies under it moves up then, and must not move under a hand.
#[test]
fn it_leaves_by_itself_while_no_hand_is_in_the_window() {
    let mut open = open_with(FRESH);
    open.now_s += 35.0;
    assert_eq!(open.frame(Vec::new()).1, []);
    open.now_s += 10.0;
    assert_eq!(open.frame(vec![Event::PointerMoved(Pos2::new(500.0, 400.0))]).1, []);
    open.now_s += 10.0;
    assert_eq!(open.frame(Vec::new()).1, []);
    assert_eq!(open.frame(vec![Event::PointerGone]).1, [Wish::Look(Look { hint_seen: true, ..FRESH })]);
}
