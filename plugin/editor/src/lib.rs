//! The editor: a [`View`] drawn with egui. It knows no host, no sound and no files; what the person wants of
//! them it gives back as a [`Wish`].
//!
//! The picture fills the [`Ui`] that it is given and is meant for 1084 × 680 points, down to 640 × 400, where parts of it
//! drop out. What does not exist yet is a dash, never a zero.

mod balance;
mod band_scale;
mod banner;
mod beads;
mod candle;
mod chair_group;
mod clear_place;
mod column_plan;
pub mod contrast;
mod controls;
mod coverage;
mod dark;
mod dress;
mod drift_bracket;
mod far;
mod far_groups;
mod figure_row;
mod figures_line;
#[cfg(test)]
mod fixtures;
mod for_balance;
mod frame_pace;
mod groups;
mod grown;
mod hinge;
mod hint;
mod keys;
mod knob_marking;
mod legend;
mod look;
pub mod palette;
mod pen;
mod pencil_list;
mod picker;
mod picture;
mod pointing;
mod rest_answers;
mod rings;
mod rooms;
mod sentences;
mod settings;
mod song_head;
mod spoken;
mod spoken_place;
mod strip;
mod strip_lines;
mod strip_marks;
mod strip_scale;
mod strip_zoom;
mod text;
mod under_all;
mod waking;

pub use controls::{Controls, Hear, Hearing};
pub use frame_pace::FramePace;
pub use look::{FLOORS_PERCENT, Look, ZOOMS_PERCENT};
pub use palette::Palette;
pub use settings::Own;

use candlemark_session::candle::Times;
use candlemark_session::chair::Knob;
use candlemark_session::pencil::PencilMark;
use candlemark_session::remarks::Stage;
use candlemark_session::song_page::SongId;
use candlemark_session::taking::Progress;
use candlemark_session::view::View;
use egui::Ui;

use crate::pen::Kit;
use crate::picture::Picture;

/// The yardsticks that can be chosen.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Choice {
    /// Names of those on the shelf, in the order in which they are shown.
    pub names: Vec<String>,
    /// Name of the one in use.
    pub in_use: Option<String>,
    /// What went wrong with the last choice, and what to do.
    pub trouble: Option<String>,
    /// The one that is being taken.
    pub taking: Option<Progress>,
    /// How many things the person has meant of what was said of the song.
    pub meant: usize,
    /// The songs of the project: which they are and what they are called, in the order in which they were begun.
    pub songs: Vec<(SongId, String)>,
    /// The one of them that is worked on. `None` before anything has sounded.
    pub song: Option<SongId>,
}

/// What the person wants that is not the editor's to do.
#[derive(Clone, Debug, PartialEq)]
pub enum Wish {
    /// Use this yardstick from the shelf.
    Use(String),
    /// Use none.
    UseNone,
    /// Take one of this name from files that are to be asked for, and use it.
    Take(String),
    /// A record plays through the mix's bus from now on: take one from it.
    TakeFromInput {
        /// What it is to be called.
        name: String,
        /// There is one of this name, and the record is to be added to it.
        add: bool,
    },
    /// The record is over: keep what was taken of it, and use it.
    FinishInput,
    /// Break off what is being taken.
    StopTaking,
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
    /// They mean what the remark of this name says.
    Mean(String),
    /// They mean nothing any more of what was said.
    MeanNothing,
    /// Show the picture like this from now on, and keep it.
    Look(Look),
    /// They go and rest.
    RestNow,
    /// Ten minutes more before the rest that is due.
    PutRestOff,
    /// The lights go out for a pass, or on again before its end.
    LightsOut(bool),
    /// A tap in the dark.
    Mark,
    /// The mark is this from now on: with a note, dealt with.
    Write(PencilMark),
    /// The song is called this.
    NameSong(String),
    /// Another song begins, with a fresh candle and nothing heard.
    NewSong,
    /// Go on with this song of the project.
    OpenSong(SongId),
    /// The monitor knob is in this position now.
    TurnKnob(Knob),
    /// A sound-level meter at the chair shows so many dBA with the monitor knob in this position.
    MarkMonitor(Knob, f64),
    /// The monitor knob is where it is marked.
    ConfirmMonitor,
    /// This is done with the song from now on.
    Do(Stage),
    /// They mean to listen at so many dBA at the chair.
    MeanLevel(i32),
    /// The song has so much time, and so many rests.
    Plan(Times),
    /// Their hand is so many seconds late when it marks in the dark.
    HandLate(i32),
    /// They listen on headphones, or on the speakers again.
    Headphones(bool),
    /// Write the print sheet of the song to a file that is to be asked for.
    PrintSheet,
}

/// Draws the view over the whole of `ui`, and gives back what the person has asked for meanwhile.
///
/// Fonts and colours of the context are the editor's own from its first frame on. It asks the context for another frame
/// only while something fades or is about to leave by itself; new views and what is asked for are the caller's to show.
pub fn show(ui: &mut Ui, view: &View, choice: &Choice, controls: &Controls, look: Look) -> Vec<Wish> {
    keys::leave_space_to_the_host(ui);
    let whole = ui.max_rect();
    let kit = Kit { colours: look.palette.colours(), grow: grown::of(whole.size()) };
    dress::dress(ui, look.palette, kit.grow);
    pencil_list::watch(ui, view, choice);
    if let Some(lights_out) = &view.dark {
        let wishes = dark::show(ui, kit, whole, lights_out, controls);
        ui.advance_cursor_after_rect(whole);
        return wishes;
    }
    dark::forget(ui);
    ui.painter().rect_filled(whole, 0.0, kit.colours.background);
    let bright_share = waking::brightness_share(ui, &view.candle, look);
    let picture = Picture { view, choice, controls, look, kit, bright_share };
    let mut wishes = Vec::new();
    let banner = controls.hearing.map_or(0.0, |_| banner::HEIGHT);
    let designed = whole / kit.grow;
    let window = designed.with_min_y(designed.top() + banner);
    let window = picture.hint(ui, window, &mut wishes);
    if look.far {
        picture.far(ui, window, &mut wishes);
    } else {
        picture.near(ui, window, &mut wishes);
    }
    if let Some(hearing) = &controls.hearing {
        banner::draw(ui, kit, designed.with_max_y(designed.top() + banner), hearing);
    }
    if bright_share < 1.0 {
        waking::shield(ui, whole);
    }
    if bright_share < 1.0 && !look.far && rest_answers::are_asked_for(&view.candle) {
        wishes.extend(picture.answers(ui, window));
    } else {
        rest_answers::forget(ui);
    }
    keys::show_focus(ui, look);
    ui.advance_cursor_after_rect(whole);
    wishes
}
