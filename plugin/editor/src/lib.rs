//! The editor: a [`View`] drawn with egui. It knows no host, no sound and no files; what the person wants of
//! them it gives back as a [`Wish`].
//!
//! The picture fills the [`Ui`] that it is given and is meant for 1084 × 680 points, down to 800 × 520. What does
//! not exist yet is a dash, never a zero.

mod balance;
mod banner;
mod beads;
mod candle;
mod clear_place;
mod controls;
mod dress;
mod groups;
mod hinge;
pub mod palette;
mod pen;
mod picker;
mod rings;
mod rooms;
mod sentences;
mod strip;
mod strip_scale;
mod text;

pub use controls::{Controls, Hear, Hearing};

use candlemark_session::view::View;
use egui::{Color32, Ui};

use crate::pen::Pen;
use crate::rooms::Rooms;
use crate::sentences::Sentences;

/// The yardsticks that can be chosen.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Choice {
    /// Names of those on the shelf, in the order in which they are shown.
    pub names: Vec<String>,
    /// Name of the one in use.
    pub in_use: Option<String>,
    /// What went wrong with the last choice, and what to do.
    pub trouble: Option<String>,
}

/// What the person wants that is not the editor's to do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Wish {
    /// Use this yardstick from the shelf.
    Use(String),
    /// Use none.
    UseNone,
    /// Hear this until [`Wish::LetGo`], or for a minute.
    Hold(Hear),
    /// The same without a hand.
    Latch(Hear),
    /// Hear the song as it is.
    LetGo,
    /// What sounds from now on is aside, or no longer.
    TellAside(bool),
    /// What lies aside is the song now.
    KeepAside,
    /// Begin the pass's figures anew.
    ResetPass,
    /// Hold the pass's figures, or go on.
    Pause(bool),
}

/// Draws the view over the whole of `ui`, and gives back what the person has asked for meanwhile.
///
/// Fonts and colours of the context are the editor's own from its first frame on.
pub fn show(ui: &mut Ui, view: &View, choice: &Choice, controls: &Controls) -> Vec<Wish> {
    dress::dress(ui.ctx());
    let whole = ui.max_rect();
    ui.painter().rect_filled(whole, 0.0, palette::BACKGROUND);
    let banner = controls.hearing.map_or(0.0, |_| banner::HEIGHT);
    let window = whole.with_min_y(whole.top() + banner);
    let pen = Pen { painter: ui.painter() };
    let mut sentences = Sentences::of(&pen, view, choice, Rooms::sentence_width(window));
    sentences.keep_within(Rooms::most_sentences_height(window));
    let rooms = Rooms::of(window, sentences.height());

    let mut wishes = Vec::new();
    if view.trouble.is_none() {
        wishes.extend(balance::draw(ui, rooms.balance, view, choice));
        let pen = Pen { painter: ui.painter() };
        strip::draw(&pen, rooms.strip, view);
        groups::draw(&pen, rooms.figures, view, controls.paused);
        let aside = view.aside || view.strip.iter().any(|point| point.aside);
        wishes.extend(controls::show(ui, rooms.controls, controls, aside));
    }
    let pen = Pen { painter: ui.painter() };
    let dark_share = 1.0 - view.candle.brightness_share().clamp(0.0, 1.0);
    if dark_share > 0.0 {
        let veil = Color32::from_black_alpha((dark_share * 255.0).round() as u8);
        pen.painter.rect_filled(window.with_min_x(rooms.candle.right()), 0.0, veil);
    }
    // What the candle, the sentences and the banner have to say is not dimmed with the rest.
    candle::draw(&pen, rooms.candle, &view.candle);
    sentences.draw(&pen, rooms.sentences);
    if let Some(hearing) = &controls.hearing {
        banner::draw(&pen, whole.with_max_y(window.top()), hearing);
    }
    ui.advance_cursor_after_rect(whole);
    wishes
}
