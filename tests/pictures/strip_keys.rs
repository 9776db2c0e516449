//! The strip by the keyboard: the arrows, + and − and Home; the space bar is the host's.

use candlemark_tests::picture::button;
use egui::Key;

use crate::open::{Open, open};

/// The named times of the strip.
fn times(open: &mut Open) -> Vec<String> {
    let is_time = |words: &str| {
        words.split_once(':').is_some_and(|(minutes, seconds)| {
            [minutes, seconds].iter().all(|part| !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit()))
        })
    };
    open.texts().into_iter().filter(|words| is_time(words)).collect()
}

/// With the strip in focus, by a click on it.
fn focused() -> Open {
    let mut open = open();
    let at = open.find("1:00").expect("it is named") - egui::vec2(0.0, 40.0);
    open.click_at(at);
    open.frame(vec![egui::Event::PointerMoved(egui::pos2(20.0, 20.0))]);
    open
}

#[test]
fn keys_show_less_and_more_and_another_part_of_the_song() {
    for (closer, further) in [(Key::ArrowUp, Key::ArrowDown), (Key::Plus, Key::Minus)] {
        let mut open = focused();
        let whole = times(&mut open);
        assert!(whole.first().is_some_and(|time| time == "0:00"), "{whole:?}");
        assert_eq!(open.key(closer), []);
        let half = times(&mut open);
        // A quarter of 3:40 is 0:55, where the half in the middle begins.
        assert_eq!(half.first().map(String::as_str), Some("1:00"), "{half:?}");
        assert_eq!(half.last().map(String::as_str), Some("2:40"), "{half:?}");
        open.key(Key::ArrowRight);
        let later = times(&mut open);
        assert!(later.first() > half.first(), "{later:?}");
        open.key(Key::ArrowLeft);
        assert_eq!(times(&mut open), half);
        open.key(further);
        assert_eq!(times(&mut open), whole);
        open.key(closer);
        open.key(closer);
        open.key(Key::Home);
        assert_eq!(times(&mut open), whole);
    }
}

#[test]
fn the_space_bar_does_nothing_to_it() {
    let mut open = focused();
    open.key(Key::ArrowUp);
    let half = times(&mut open);
    assert_eq!(open.key(Key::Space), []);
    assert_eq!(times(&mut open), half);
}

#[test]
fn a_double_click_shows_the_whole_again() {
    let mut open = focused();
    let whole = times(&mut open);
    open.key(Key::ArrowUp);
    assert_ne!(times(&mut open), whole);
    let at = open.find("1:20").expect("it is named") - egui::vec2(0.0, 40.0);
    open.frame(vec![egui::Event::PointerMoved(at)]);
    for pressed in [true, false, true, false] {
        open.frame(vec![button(at, pressed)]);
    }
    assert_eq!(times(&mut open), whole);
}
