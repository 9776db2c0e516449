//! What is clicked in the window is done, though no host stands behind it.

use candlemark_editor::Look;
use candlemark_tests::audition::{Place, place_after};
use candlemark_tests::x11::changes;

use crate::desk::Desk;

/// A parameter, which a host would set otherwise.
#[test]
fn what_sounds_is_told_to_be_aside_and_no_longer() {
    let mut desk = Desk::start(["--backend", "dummy"]);
    desk.first_picture();
    let Place { x, y } = place_after(&[], "Aside", Look::default());
    // The first click wakes the window and sends the hint away; then its picture with the pointer away is the one to come
    // back to.
    let hinting = desk.picture();
    desk.click(1, 1);
    desk.wait_for_a_picture("the hint to leave", |now| changes(now, &hinting) > 500);
    let before = desk.picture();
    desk.click(x, y);
    desk.wait_for_a_picture("word that it is aside", |now| changes(now, &before) > 500);
    desk.click(x, y);
    desk.wait_for_a_picture("the picture as it was", |now| changes(now, &before) == 0);
    desk.close().well();
}
