//! Marking the monitor knob: the steps in the balance's room, and the noise that is held.

use candlemark_editor::{Hear, Hearing, Wish};
use candlemark_session::chair::Knob;
use candlemark_tests::picture::button;
use egui::{Event, Key, vec2};

use crate::open::{Open, open};
use crate::{DESIGNED, SMALLEST, geometry};

fn marking() -> Open {
    let mut open = open();
    assert_eq!(open.click("mark knob"), [], "it only opens");
    open
}

fn sounds(what: Hear, sounds: bool) -> Hearing {
    Hearing { what, sounds, match_db: None, left_s: None }
}

#[test]
fn the_steps_lie_where_the_balance_was_and_go_again() {
    let mut open = marking();
    assert_eq!(open.find("Balance"), None);
    assert!(open.find("The song").is_some());
    for size in [DESIGNED, vec2(1600.0, 1000.0)] {
        open.size = size;
        open.frame(Vec::new());
        let (shapes, _) = open.frame(Vec::new());
        geometry::hold(&shapes, size, "the marking");
    }
    open.size = DESIGNED;
    open.frame(Vec::new());
    assert_eq!(open.click("Back to the balance"), []);
    assert!(open.find("Balance").is_some());
}

#[test]
fn in_a_small_window_the_settings_begin_it() {
    let mut open = open();
    open.size = SMALLEST;
    assert_eq!(open.find("mark knob"), None);
    open.click("Settings");
    assert_eq!(open.click("mark it…"), []);
    assert!(open.find("Noise left").is_some());
}

#[test]
fn the_noise_sounds_while_its_button_is_held() {
    for (side, what) in [("left", Hear::NoiseLeft), ("right", Hear::NoiseRight)] {
        let words = &format!("Noise {side}");
        let said = &format!("Noise from the {side} speaker, none of which is measured. Let go to end it.");
        let mut open = marking();
        let at = open.find(words).expect("it is written");
        assert_eq!(open.press(words), [Wish::Hold(what)]);
        open.controls.hearing = Some(sounds(what, true));
        for _ in 0..20 {
            assert_eq!(open.frame(Vec::new()).1, [], "it goes on");
        }
        assert!(open.find(said).is_some());
        assert_eq!(open.frame(vec![button(at, false)]).1, [Wish::LetGo]);
    }
}

#[test]
fn a_noise_that_is_refused_says_why() {
    let mut open = marking();
    open.press("Noise left");
    open.controls.hearing = Some(sounds(Hear::NoiseLeft, false));
    let said = "No noise: it is refused while playback runs, in a render or a recording, and ends after half a minute.";
    assert!(open.find(said).is_some());
}

#[test]
fn noise_that_nothing_holds_is_let_go() {
    let mut open = open();
    open.controls.hearing = Some(sounds(Hear::NoiseLeft, true));
    assert_eq!(open.frame(Vec::new()).1, [Wish::LetGo]);
}

#[test]
fn the_noise_is_not_among_what_the_song_is_heard_by() {
    let offered = Hear::OFFERED.map(|(hear, _)| hear);
    assert!(!offered.contains(&Hear::NoiseLeft) && !offered.contains(&Hear::NoiseRight));
    let mut open = marking();
    open.controls.stereo = false;
    open.frame(Vec::new());
    assert_eq!(open.press("Noise left"), [], "one channel has no speaker to choose");
}

#[test]
fn a_reading_and_a_position_make_a_mark() {
    let mut open = marking();
    assert_eq!(open.click("Mark it"), [], "nothing is typed yet");
    open.click("reading");
    open.frame(vec![Event::Text("300".into())]);
    assert_eq!(open.click("Mark it"), [], "no room reads that");
    open.click("300");
    for _ in 0..3 {
        open.key(Key::Backspace);
        open.key(Key::Delete);
    }
    open.frame(vec![Event::Text("63.5".into())]);
    assert_eq!(open.click("Mark it"), [], "no position is taken for granted");
    assert_eq!(open.click("loud"), []);
    assert_eq!(open.click("Mark it"), [Wish::TurnKnob(Knob::Loud), Wish::MarkMonitor(Knob::Loud, 63.5)]);
    assert!(open.find("Balance").is_some(), "all is done");
}
