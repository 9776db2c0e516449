//! The picker and the controls under a pointer.

use candlemark_editor::{Choice, Hear, Hearing, Wish};
use candlemark_session::taking::Progress;
use candlemark_tests::picture::button;
use egui::{Event, Pos2, vec2};

use crate::open::{Open, open};
use crate::{DESIGNED, SEEN, SMALLEST, clicked, geometry, save, views};

#[test]
fn another_yardstick_can_be_picked() {
    let mut open = open();
    assert_eq!(open.click("folk, three records"), [], "it only opens the list");
    assert_eq!(open.click("a louder evening"), [Wish::Use("a louder evening".into())]);
}

#[test]
fn under_the_one_in_use_stands_how_far_to_turn_it_down() {
    let mut open = open();
    let words = "turn the records down 7.6 to 11.1 dB to hear them fairly";
    assert_eq!(open.find(words), None, "it is not in the way");
    assert_eq!(open.click("folk, three records"), [], "it only opens the list");
    let [at, next] = [words, "a louder evening"].map(|words| open.find(words).expect("it is written"));
    assert!(at.y < next.y, "under its own name");
    open.view.ear_match = None;
    open.frame(Vec::new());
    assert_eq!(open.find(words), None);
}

#[test]
fn the_yardstick_can_be_put_away() {
    let mut open = open();
    assert_eq!(open.click("folk, three records"), [], "it only opens the list");
    assert_eq!(open.click("no yardstick"), [Wish::UseNone]);
}

#[test]
fn a_yardstick_is_taken_from_files_or_from_what_plays_under_the_name_that_is_written() {
    let name = || "quiet-evening".to_owned();
    for (button, wish) in [
        ("Take from files…", Wish::Take(name())),
        ("Take from what plays", Wish::TakeFromInput { name: name(), add: false }),
    ] {
        let mut open = open();
        assert_eq!(open.click("folk, three records"), [], "it only opens the list");
        assert_eq!(open.click(button), [], "it has no name yet");
        assert_eq!(open.click("name-of-a-new-one"), []);
        assert_eq!(open.frame(vec![Event::Text(name())]).1, []);
        assert_eq!(open.click(button), [wish]);
    }
}

#[test]
fn what_is_being_taken_says_how_far_it_is_and_can_be_stopped() {
    let mut open = open();
    open.choice.taking = Some(Progress { name: "loud".into(), files: 3, share: 0.425, input_s: None });
    assert_eq!(open.click("42 % of “loud” taken"), [], "it only opens the list");
    assert!(open.find("taking “loud” from 3 files: 42 %").is_some());
    assert_eq!(open.click("Stop taking"), [Wish::StopTaking]);
}

#[test]
fn what_is_on_the_shelf_is_added_to_only_by_a_button_that_says_so() {
    let mut open = open();
    open.choice.names.push("Loud".into());
    assert_eq!(open.click("folk, three records"), [], "it only opens the list");
    assert_eq!(open.click("name-of-a-new-one"), []);
    assert_eq!(open.frame(vec![Event::Text("loud".into())]).1, []);
    assert_eq!(open.find("Take from what plays"), None);
    let wish = Wish::TakeFromInput { name: "Loud".into(), add: true };
    assert_eq!(open.click("Add what plays to “Loud”"), [wish]);
}

#[test]
fn what_plays_says_how_long_it_has_been_heard_and_is_ended_either_way() {
    for (button, wish) in [("Done", Wish::FinishInput), ("Stop taking", Wish::StopTaking)] {
        let mut open = open();
        open.choice.taking = Some(from_input());
        assert_eq!(open.click("1:35 of “quiet-evening” heard"), [], "it only opens the list");
        assert!(open.find("taking “quiet-evening” from what plays: 1:35 heard").is_some());
        assert_eq!(open.click(button), [wish]);
    }
}

fn from_input() -> Progress {
    Progress { name: "quiet-evening".into(), files: 0, share: 0.0, input_s: Some(95) }
}

#[test]
fn a_remark_can_be_meant() {
    let mut open = open();
    open.view = views::remarks();
    // The last one that is written is the last remark's.
    let last = open.view.remarks.last().expect("there are some").id.clone();
    assert_eq!(open.click("meant it"), [Wish::Mean(last)]);
}

fn hearing(what: Hear, left_s: Option<f64>) -> Hearing {
    Hearing { what, sounds: true, match_db: Some(0.6), left_s }
}

#[test]
fn mono_is_heard_while_the_button_is_held() {
    let mut open = open();
    assert_eq!(open.press("Hear mono"), [Wish::Hold(Hear::Mono)]);
    open.controls.hearing = Some(hearing(Hear::Mono, None));
    for _ in 0..30 {
        assert_eq!(open.frame(Vec::new()).1, [], "it goes on");
    }
    // The pointer may wander off the button.
    let away = Pos2::new(20.0, 20.0);
    assert_eq!(open.frame(vec![Event::PointerMoved(away)]).1, []);
    assert_eq!(open.frame(vec![button(away, false)]).1, [Wish::LetGo]);
}

#[test]
fn nothing_is_heard_another_way_while_the_buttons_that_end_it_are_not_there() {
    let mut open = open();
    open.view.trouble = Some("Nothing is measured.".into());
    assert_eq!(open.frame(Vec::new()).1, []);
    for left_s in [None, Some(30.0)] {
        open.controls.hearing = Some(hearing(Hear::Mono, left_s));
        assert_eq!(open.frame(Vec::new()).1, [Wish::LetGo], "{left_s:?}");
    }
}

/// Holds mono, and gives where the pointer is.
fn held() -> (Open, Pos2) {
    let mut open = open();
    let on_it = open.find("Hear mono").expect("it is written");
    assert_eq!(open.press("Hear mono"), [Wish::Hold(Hear::Mono)]);
    open.controls.hearing = Some(hearing(Hear::Mono, None));
    (open, on_it)
}

/// What ends a press need not be told to the window: another has the keyboard, or the pointer has left.
#[test]
fn what_is_held_is_let_go_with_the_window_and_never_comes_back_by_itself() {
    for (gone, back) in
        [(Event::WindowFocused(false), vec![Event::WindowFocused(true)]), (Event::PointerGone, Vec::new())]
    {
        let (mut open, on_it) = held();
        assert_eq!(open.frame(vec![gone.clone()]).1, [Wish::LetGo], "{gone:?}");
        open.controls.hearing = None;
        for events in [Vec::new(), back, vec![Event::PointerMoved(on_it + vec2(1.0, 0.0))], Vec::new()] {
            assert_eq!(open.frame(events.clone()).1, [], "{events:?} after {gone:?}");
        }
        // The end of the press may still come, or never.
        assert_eq!(open.frame(vec![button(on_it, false)]).1, []);
        assert_eq!(open.press("Hear mono"), [Wish::Hold(Hear::Mono)], "a fresh press");
    }
}

#[test]
fn a_press_that_brings_the_window_the_keyboard_goes_on() {
    let (mut open, on_it) = held();
    assert_eq!(open.frame(vec![Event::WindowFocused(false), Event::WindowFocused(true)]).1, []);
    assert_eq!(open.frame(Vec::new()).1, []);
    assert_eq!(open.frame(vec![button(on_it, false)]).1, [Wish::LetGo]);
}

#[test]
fn after_a_press_whose_end_was_missed_only_a_press_on_the_button_asks() {
    let (mut open, on_it) = held();
    // It has let go by itself; the window goes on taking the button for pressed.
    let elsewhere = open.find("Hold pass").expect("it is written");
    assert_eq!(open.frame(vec![Event::PointerMoved(elsewhere), button(elsewhere, true)]).1, []);
    assert!(open.frame(vec![button(elsewhere, false)]).1.contains(&Wish::LetGo));

    let (mut open, _) = held();
    assert_eq!(open.frame(vec![Event::PointerMoved(on_it), button(on_it, true)]).1, [Wish::Hold(Hear::Mono)]);
}

#[test]
fn another_audition_can_be_chosen_and_latched() {
    let mut open = open();
    assert_eq!(open.click("▾"), [], "it only opens the list");
    assert_eq!(open.click("difference, both speakers"), [], "it only chooses");
    assert_eq!(open.click("Latch"), [Wish::Latch(Hear::Difference)]);
    open.controls.hearing = Some(hearing(Hear::Difference, Some(60.0)));
    assert_eq!(open.frame(Vec::new()).1, [], "it stays without a hand");
    assert_eq!(open.click("Latch"), [Wish::LetGo]);
    open.controls.hearing = None;
    assert_eq!(open.press("Hear the difference"), [Wish::Hold(Hear::Difference)]);
}

#[test]
fn a_mono_bus_has_nothing_to_audition() {
    let mut open = open();
    open.controls.stereo = false;
    assert_eq!(open.click("Hear mono"), []);
    assert_eq!(open.click("Latch"), []);
}

#[test]
fn aside_can_be_told_and_what_lies_aside_can_be_kept() {
    let mut open = open();
    assert_eq!(open.find("Keep this"), None, "nothing lies aside");
    assert_eq!(open.click("Aside"), [Wish::TellAside(true)]);
    open.controls.aside_told = true;
    assert_eq!(open.click("Aside"), [Wish::TellAside(false)]);
    open.controls.aside_told = false;
    open.view = views::faults();
    assert_eq!(open.click("Keep this"), [Wish::KeepAside]);
}

#[test]
fn the_pass_can_be_paused_and_begun_anew() {
    let mut open = open();
    assert_eq!(open.click("Hold pass"), [Wish::Pause(true)]);
    open.controls.paused = true;
    assert_eq!(open.click("Go on"), [Wish::Pause(false)]);
    assert_eq!(open.click("Reset pass"), [Wish::ResetPass]);
}

/// The list of yardsticks, open.
#[test]
fn the_list_lies_in_the_window() {
    let taking = Progress { name: "quiet-evening".into(), files: 3, share: 0.425, input_s: None };
    for (size, taking, name) in [
        (DESIGNED, None, "yardsticks"),
        (SMALLEST, None, "yardsticks-small"),
        (DESIGNED, Some(taking), "taking"),
        (DESIGNED, Some(from_input()), "taking-what-plays"),
        (SMALLEST, Some(from_input()), "taking-what-plays-small"),
    ] {
        let choice = Choice { taking, ..views::shelf() };
        let draw = |ui: &mut egui::Ui| {
            candlemark_editor::show(ui, &views::working(), &choice, &views::controls(), SEEN);
        };
        let first = match choice.taking.as_ref().map(|taking| taking.input_s) {
            Some(Some(_)) => "1:35 of “quiet-evening” heard",
            Some(None) => "42 % of “quiet-evening” taken",
            None => "folk, three records",
        };
        let picture = clicked(first, size, draw);
        save(&picture, name);
        let last = if choice.taking.is_some() { "Stop taking" } else { "Take from what plays" };
        geometry::hold_words(&picture, size, name, &["no yardstick", "a louder evening", last]);
    }
}
