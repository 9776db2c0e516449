//! A window that stays open from one frame to the next, with a hand on the pointer and the keys.

use candlemark_editor::{Choice, Controls, Look, Wish, show};
use candlemark_session::view::View;
use candlemark_tests::picture::{self, button, click};
use egui::accesskit::TreeUpdate;
use egui::epaint::ClippedShape;
use egui::{Context, Event, Key, Modifiers, Pos2, RawInput, Rect, Vec2};

use crate::seen::texts_in;
use crate::{DESIGNED, SEEN, views};

pub(crate) struct Open {
    pub(crate) ctx: Context,
    /// The window's clock, in seconds.
    pub(crate) now_s: f64,
    pub(crate) size: Vec2,
    pub(crate) choice: Choice,
    pub(crate) view: View,
    pub(crate) controls: Controls,
    pub(crate) look: Look,
}

/// What a window shows that has been in use for a while.
pub(crate) fn open() -> Open {
    open_with(SEEN)
}

pub(crate) fn open_with(look: Look) -> Open {
    let mut open = Open {
        ctx: Context::default(),
        now_s: 0.0,
        size: DESIGNED,
        choice: views::shelf(),
        view: views::working(),
        controls: views::controls(),
        look,
    };
    open.frame(Vec::new());
    open
}

impl Open {
    /// Draws a frame a tenth of a second later; gives what was drawn and what was wished.
    pub(crate) fn frame(&mut self, events: Vec<Event>) -> (Vec<ClippedShape>, Vec<Wish>) {
        let (output, wishes) = self.run(events);
        (output.shapes, wishes)
    }

    /// The same with all that egui gives.
    pub(crate) fn run(&mut self, events: Vec<Event>) -> (egui::FullOutput, Vec<Wish>) {
        self.now_s += 0.1;
        let input = RawInput {
            screen_rect: Some(Rect::from_min_size(Pos2::ZERO, self.size)),
            time: Some(self.now_s),
            events,
            ..RawInput::default()
        };
        let mut wishes = Vec::new();
        let mut output = self.ctx.run_ui(input, |ui| {
            wishes.extend(show(ui, &self.view, &self.choice, &self.controls, self.look));
        });
        output.textures_delta.clear();
        (output, wishes)
    }

    /// All that is written.
    pub(crate) fn texts(&mut self) -> Vec<String> {
        texts_in(&self.frame(Vec::new()).0)
    }

    /// Where the last text of these words is written.
    pub(crate) fn find(&mut self, words: &str) -> Option<Pos2> {
        picture::place_of(&self.frame(Vec::new()).0, words)
    }

    /// Puts the pointer on these words and presses; gives what was wished.
    pub(crate) fn press(&mut self, words: &str) -> Vec<Wish> {
        let pos = self.find(words).unwrap_or_else(|| panic!("“{words}” is not written anywhere"));
        let mut wishes = self.frame(vec![Event::PointerMoved(pos)]).1;
        wishes.extend(self.frame(vec![button(pos, true)]).1);
        wishes
    }

    /// Lets go of what is pressed.
    pub(crate) fn release(&mut self, words: &str) -> Vec<Wish> {
        let pos = self.find(words).unwrap_or_default();
        let mut wishes = self.frame(vec![button(pos, false)]).1;
        wishes.extend(self.frame(Vec::new()).1);
        wishes
    }

    /// Clicks on these words, and gives what was wished.
    pub(crate) fn click(&mut self, words: &str) -> Vec<Wish> {
        let mut wishes = self.press(words);
        wishes.extend(self.release(words));
        wishes
    }

    /// Clicks at a place, and gives what was wished.
    pub(crate) fn click_at(&mut self, at: Pos2) -> Vec<Wish> {
        click(at).into_iter().flat_map(|event| self.frame(vec![event]).1).collect()
    }

    /// What a reader of screens is told.
    pub(crate) fn tree(&mut self) -> TreeUpdate {
        self.ctx.enable_accesskit();
        self.frame(Vec::new());
        self.run(Vec::new()).0.platform_output.accesskit_update.expect("it is asked for")
    }

    /// Presses a key and lets it go; gives what was wished.
    pub(crate) fn key(&mut self, key: Key) -> Vec<Wish> {
        let event = |pressed| {
            let modifiers = Modifiers::NONE;
            Event::Key { key, physical_key: None, pressed, repeat: false, modifiers }
        };
        let mut wishes = self.frame(vec![event(true)]).1;
        wishes.extend(self.frame(vec![event(false)]).1);
        wishes
    }
}
