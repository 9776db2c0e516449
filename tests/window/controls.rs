//! What is clicked in the window is done, though no host stands behind it.

use candlemark_editor::{Choice, Controls, Look, show};
use candlemark_session::view::View;
use candlemark_tests::picture;
use egui::{Pos2, Shape, vec2};

use crate::desk::{Desk, changes};

/// Where words are written in the window as it opens.
fn place_of(words: &str) -> Pos2 {
    let controls = Controls { stereo: true, ..Controls::default() };
    let shapes = picture::shapes(vec2(1084.0, 680.0), 1.0, |ui| {
        show(ui, &View::default(), &Choice::default(), &controls, Look::default());
    });
    let written = shapes.iter().find_map(|clipped| match &clipped.shape {
        Shape::Text(text) if text.galley.text() == words => Some(text.visual_bounding_rect().center()),
        _ => None,
    });
    written.unwrap_or_else(|| panic!("“{words}” is not written in the window"))
}

/// A parameter, which a host would set otherwise.
#[test]
fn what_sounds_is_told_to_be_aside_and_no_longer() {
    let mut desk = Desk::start(["--backend", "dummy"]);
    desk.first_picture();
    let Pos2 { x, y } = place_of("Aside");
    // The first click wakes the window and sends the hint away; then its picture with the pointer away is the one to come
    // back to.
    let hinting = desk.picture();
    desk.click(1, 1);
    desk.wait_for_a_picture("the hint to leave", |now| changes(now, &hinting) > 500);
    let before = desk.picture();
    desk.click(x as i16, y as i16);
    desk.wait_for_a_picture("word that it is aside", |now| changes(now, &before) > 500);
    desk.click(x as i16, y as i16);
    desk.wait_for_a_picture("the picture as it was", |now| changes(now, &before) == 0);
    let ended = desk.close();
    assert_eq!(ended.status, Some(0), "{}", ended.told);
}
