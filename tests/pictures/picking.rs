//! The picker and the controls under a pointer.

use candlemark_editor::{Choice, Controls, Hear, Hearing, Wish, show};
use candlemark_session::view::View;
use egui::epaint::ClippedShape;
use egui::{Context, Event, Modifiers, PointerButton, Pos2, RawInput, Rect, Shape, vec2};

use crate::{DESIGNED, views};

/// A window that stays open from one click to the next.
struct Open {
    ctx: Context,
    frame: u32,
    choice: Choice,
    view: View,
    controls: Controls,
}

impl Open {
    fn frame(&mut self, events: Vec<Event>) -> (Vec<ClippedShape>, Vec<Wish>) {
        self.frame += 1;
        let input = RawInput {
            screen_rect: Some(Rect::from_min_size(Pos2::ZERO, DESIGNED)),
            time: Some(f64::from(self.frame) * 0.1),
            events,
            ..RawInput::default()
        };
        let mut wishes = Vec::new();
        let mut output = self.ctx.run_ui(input, |ui| {
            wishes.extend(show(ui, &self.view, &self.choice, &self.controls));
        });
        output.textures_delta.clear();
        (output.shapes, wishes)
    }

    /// Where the last text of these words is written.
    fn find(&mut self, words: &str) -> Option<Pos2> {
        let (shapes, _) = self.frame(Vec::new());
        shapes.iter().rev().find_map(|clipped| match &clipped.shape {
            Shape::Text(text) if text.galley.text() == words => Some(text.visual_bounding_rect().center()),
            _ => None,
        })
    }

    /// Puts the pointer on these words and presses; gives what was wished.
    fn press(&mut self, words: &str) -> Vec<Wish> {
        let pos = self.find(words).unwrap_or_else(|| panic!("“{words}” is not written anywhere"));
        let mut wishes = self.frame(vec![Event::PointerMoved(pos)]).1;
        wishes.extend(self.frame(vec![button(pos, true)]).1);
        wishes
    }

    /// Lets go of what is pressed.
    fn release(&mut self, words: &str) -> Vec<Wish> {
        let pos = self.find(words).unwrap_or_default();
        let mut wishes = self.frame(vec![button(pos, false)]).1;
        wishes.extend(self.frame(Vec::new()).1);
        wishes
    }

    /// Clicks on these words, and gives what was wished.
    fn click(&mut self, words: &str) -> Vec<Wish> {
        let mut wishes = self.press(words);
        wishes.extend(self.release(words));
        wishes
    }
}

fn button(pos: Pos2, pressed: bool) -> Event {
    Event::PointerButton { pos, button: PointerButton::Primary, pressed, modifiers: Modifiers::NONE }
}

fn open() -> Open {
    let mut open = Open {
        ctx: Context::default(),
        frame: 0,
        choice: views::shelf(),
        view: views::working(),
        controls: views::controls(),
    };
    open.frame(Vec::new());
    open
}

#[test]
fn another_yardstick_can_be_picked() {
    let mut open = open();
    assert_eq!(open.click("folk, three records"), [], "it only opens the list");
    assert_eq!(open.click("a louder evening"), [Wish::Use("a louder evening".into())]);
}

#[test]
fn the_yardstick_can_be_put_away() {
    let mut open = open();
    assert_eq!(open.click("folk, three records"), [], "it only opens the list");
    assert_eq!(open.click("no yardstick"), [Wish::UseNone]);
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
    let elsewhere = open.find("Pause").expect("it is written");
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
    assert_eq!(open.click("Pause"), [Wish::Pause(true)]);
    open.controls.paused = true;
    assert_eq!(open.click("Go on"), [Wish::Pause(false)]);
    assert_eq!(open.click("Reset pass"), [Wish::ResetPass]);
}
