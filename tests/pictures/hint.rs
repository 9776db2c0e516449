//! The hint for the first time: there until it is clicked on, or has been there long enough and no hand is near.

use candlemark_editor::{Look, Wish};
use egui::{Event, Pos2};

use crate::open::open_with;
use crate::{DESIGNED, SEEN, draw_as, geometry, save, views};

const FRESH: Look = Look { hint_seen: false, ..SEEN };

#[test]
fn a_fresh_project_shows_it() {
    assert_eq!(Look::default(), FRESH);
    let picture = draw_as(FRESH, &views::just_opened(), &views::shelf(), DESIGNED, 1.0);
    save(&picture, "hint");
    geometry::hold(&picture.shapes, DESIGNED, "hint");
    assert!(crate::seen::has_text(
        &picture,
        "Turn the monitors down first, then play the song from its start."
    ));
}

#[test]
fn it_leaves_by_a_click() {
    let mut open = open_with(FRESH);
    assert_eq!(open.click_at(Pos2::new(500.0, 15.0)), [Wish::Look(SEEN)]);
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
    assert_eq!(open.frame(vec![Event::PointerGone]).1, [Wish::Look(SEEN)]);
}
