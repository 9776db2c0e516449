//! The settings: each is reached and told.

use candlemark_editor::palette::Palette;
use candlemark_editor::{FLOORS_PERCENT, Look, Wish, ZOOMS_PERCENT};
use candlemark_session::candle::Times;
use egui::{Event, Key};

use crate::open::{Open, open};
use crate::{DESIGNED, SEEN, SMALLEST, clicked, geometry, save, views};

fn set(words: &str, within: impl Fn(&mut Open)) -> Vec<Wish> {
    let mut open = open();
    within(&mut open);
    assert_eq!(open.click("Settings"), [], "it only opens");
    open.click(words)
}

#[test]
fn every_choice_is_wished() {
    let as_it_is = |_: &mut Open| {};
    assert_eq!(set("paper", as_it_is), [Wish::Look(Look { palette: Palette::Paper, ..SEEN })]);
    for zoom_percent in ZOOMS_PERCENT.into_iter().filter(|percent| *percent != 100) {
        let words = format!("{zoom_percent} %");
        assert_eq!(set(&words, as_it_is), [Wish::Look(Look { zoom_percent, ..SEEN })]);
    }
    for floor_percent in FLOORS_PERCENT.into_iter().filter(|percent| *percent != 35) {
        let words = format!("{floor_percent} %");
        assert_eq!(set(&words, as_it_is), [Wish::Look(Look { floor_percent, ..SEEN })]);
    }
    let ticks = "at the level at the chair";
    assert_eq!(set(ticks, as_it_is), [Wish::Look(Look { as_heard: true, ..SEEN })]);
    assert_eq!(set("always", as_it_is), [Wish::Look(Look { rings_always: true, ..SEEN })]);
    assert_eq!(set("show", as_it_is), [Wish::Look(Look { hint_seen: false, ..SEEN })]);
    assert_eq!(set("lamp", as_it_is), [], "it is as it was");
    let meant = |count: usize| move |open: &mut Open| open.choice.meant = count;
    assert_eq!(set("say it again", meant(1)), [Wish::MeanNothing]);
    assert_eq!(set("say all 3 again", meant(3)), [Wish::MeanNothing]);
    let from_far = |open: &mut Open| open.look.far = true;
    assert_eq!(set("paper", from_far), [Wish::Look(Look { palette: Palette::Paper, far: true, ..SEEN })]);
}

/// Opens the settings, types this in place of a figure, and gives what is wished.
fn typed(figure: &str, letters: &str) -> Vec<Wish> {
    let mut open = open();
    open.click("Settings");
    assert_eq!(open.click(figure), [], "it only takes the keyboard");
    open.frame(vec![Event::Text(letters.into())]);
    let wishes = open.key(Key::Enter);
    assert!(open.find("Palette").is_some(), "the settings stay for the next figure");
    wishes
}

#[test]
fn the_songs_times_and_how_one_listens_are_typed() {
    let times = Times::default();
    assert_eq!(typed("120", "90"), [Wish::Plan(Times { budget_s: 5400.0, ..times })]);
    assert_eq!(typed("120", "2"), [Wish::Plan(Times { budget_s: 900.0, ..times })], "the least there is");
    assert_eq!(typed("45", "30"), [Wish::Plan(Times { rest_every_s: 1800.0, ..times })]);
    assert_eq!(typed("12", "5"), [Wish::Plan(Times { rest_for_s: 300.0, ..times })]);
    assert_eq!(typed("2", "1"), [Wish::HandLate(1)]);
    assert_eq!(typed("65", "60"), [Wish::MeanLevel(60)]);
    assert_eq!(typed("65", "99"), [Wish::MeanLevel(80)], "the most that can be meant");
    assert_eq!(typed("65", "quiet"), []);
}

#[test]
fn they_lie_in_the_window_of_every_size() {
    for (size, name) in [(DESIGNED, "settings"), (SMALLEST, "settings-small")] {
        let picture = clicked("Settings", size, |ui| {
            candlemark_editor::show(ui, &views::working(), &views::shelf(), &views::controls(), SEEN);
        });
        save(&picture, name);
        let words = [
            "Palette",
            "paper",
            "Zoom",
            "75 %",
            "200 %",
            "Dims down to",
            "10 %",
            "Rings in mono",
            "always",
            "As heard",
            "Song time",
            "120",
            "Rest every",
            "12",
            "Hand late by",
            "Meant level",
            "65",
            "Monitor knob",
            "loud",
            "Listening on",
            "headphones",
            "First hint",
            "show",
        ];
        geometry::hold_words(&picture, size, name, &words);
    }
}
