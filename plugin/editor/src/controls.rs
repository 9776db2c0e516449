//! The controls under the picture: hearing the song another way, aside, and the pass's figures.

use candlemark_session::candle::{Candle, Rest};
use candlemark_session::view::View;
use egui::{Align, Button, Event, Id, InputState, Layout, Rect, Response, Sense, Ui, vec2};

use crate::pen::{self, Kit, Pen};
use crate::settings::{self, Own};
use crate::{Look, Wish, knob_marking, pencil_list, rest_answers};

/// Height of a row, in points.
const HEIGHT: f32 = 24.0;
/// From this width on all controls lie in one row, under it in two, in points.
const ONE_ROW: f32 = 930.0;
/// In one row from this width on there is room for every control at once, in points.
const EVERYTHING: f32 = 1010.0;
/// Wide enough for the longest name of an audition, so that nothing moves when another is chosen.
const HEAR_WIDTH: f32 = 164.0;
/// Beside the words in a button.
const PADDING: f32 = 8.0;
const BETWEEN: f32 = 6.0;
const GROUPS_APART: f32 = 16.0;

/// What can sound in place of the song: another way to hear it, or the noise that a monitor knob is marked by. Ways to hear the
/// song, all but the difference, are brought to its own loudness.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Hear {
    /// The mono fold from both speakers.
    #[default]
    Mono,
    /// The mono fold from the left speaker alone.
    MonoLeftSpeaker,
    /// The mono fold from the right speaker alone.
    MonoRightSpeaker,
    /// The left channel from both speakers.
    Left,
    /// The right channel from both speakers.
    Right,
    /// The difference of the channels, from both speakers: what mono leaves out.
    Difference,
    /// The calibration noise from the left speaker alone.
    NoiseLeft,
    /// The calibration noise from the right speaker alone.
    NoiseRight,
}

impl Hear {
    /// Every way to hear the song, in the order in which they are offered, with what the list calls it.
    pub const OFFERED: [(Self, &'static str); 6] = [
        (Self::Mono, "mono, both speakers"),
        (Self::MonoLeftSpeaker, "mono, left speaker only"),
        (Self::MonoRightSpeaker, "mono, right speaker only"),
        (Self::Left, "left side, both speakers"),
        (Self::Right, "right side, both speakers"),
        (Self::Difference, "difference, both speakers"),
    ];

    /// What its button says.
    pub(crate) fn label(self) -> &'static str {
        match self {
            Self::Mono => "Hear mono",
            Self::MonoLeftSpeaker => "Hear mono, left only",
            Self::MonoRightSpeaker => "Hear mono, right only",
            Self::Left => "Hear the left side",
            Self::Right => "Hear the right side",
            Self::Difference => "Hear the difference",
            Self::NoiseLeft => "Noise left",
            Self::NoiseRight => "Noise right",
        }
    }

    /// It is the noise, not the song.
    pub(crate) fn is_noise(self) -> bool {
        matches!(self, Self::NoiseLeft | Self::NoiseRight)
    }

    /// What a person hears, in a sentence.
    pub(crate) fn words(self) -> &'static str {
        match self {
            Self::Mono => "mono",
            Self::MonoLeftSpeaker => "mono from the left speaker",
            Self::MonoRightSpeaker => "mono from the right speaker",
            Self::Left => "the left side from both speakers",
            Self::Right => "the right side from both speakers",
            Self::Difference => "the difference of the sides",
            Self::NoiseLeft => "Noise from the left speaker",
            Self::NoiseRight => "Noise from the right speaker",
        }
    }
}

/// An audition that was asked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hearing {
    /// What was asked for.
    pub what: Hear,
    /// It sounds. It does not where it has let go, or where no sound comes from the host.
    pub sounds: bool,
    /// Its gain in dB, where it sounds.
    pub match_db: Option<f64>,
    /// How long a latched one still sounds, in seconds. `None` for one that is held.
    pub left_s: Option<f64>,
}

/// How the controls stand.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Controls {
    /// The bus has two channels: there is something to audition.
    pub stereo: bool,
    /// The audition that was asked for.
    pub hearing: Option<Hearing>,
    /// The person says that what sounds is aside.
    pub aside_told: bool,
    /// The pass's figures are held.
    pub paused: bool,
    /// How the person works and listens.
    pub own: Own,
}

/// Height of the controls in so much width, in points.
pub(crate) fn height(width: f32) -> f32 {
    if width >= ONE_ROW { HEIGHT } else { 2.0 * HEIGHT + BETWEEN }
}

/// A row of controls, from the left.
fn row(ui: &mut Ui, kit: Kit, name: &str, place: Rect) -> Ui {
    let mut row = ui.new_child(kit.part(name, place).layout(Layout::left_to_right(Align::Center)));
    row.spacing_mut().item_spacing.x = BETWEEN * kit.grow;
    row
}

/// Shows what has to do with the sound, the listen and the rests, and gives what is wished.
///
/// In a dimmed picture a rest that is due is answered beside what is said of it, and not here.
pub(crate) fn show_sound(
    ui: &mut Ui,
    kit: Kit,
    place: Rect,
    controls: &Controls,
    view: &View,
    bright_share: f64,
) -> Vec<Wish> {
    let answers_here = bright_share >= 1.0 || !rest_answers::are_asked_for(&view.candle);
    let aside = view.aside || view.strip.iter().any(|point| point.aside);
    let mut wishes = Vec::new();
    let grow = kit.grow;
    let mut here = row(ui, kit, "controls of the sound", place.with_max_y(place.top() + HEIGHT));
    here.add_enabled_ui(controls.stereo, |ui| hear(ui, grow, controls, &mut wishes));
    here.add_space((GROUPS_APART - BETWEEN) * grow);
    if toggle(&mut here, grow, "Aside", controls.aside_told, "What sounds now is not the song").clicked() {
        wishes.push(Wish::TellAside(!controls.aside_told));
    }
    if aside && !controls.aside_told {
        let keep = "What lies aside is a real change: count it as the song";
        if plain(&mut here, grow, "Keep this").on_hover_text(keep).clicked() {
            wishes.push(Wish::KeepAside);
        }
    }
    here.add_space((GROUPS_APART - BETWEEN) * grow);
    if place.width() >= ONE_ROW {
        lights_out(&mut here, grow, &mut wishes);
        if answers_here {
            rest_now(&mut here, grow, &view.candle, &mut wishes);
            later(&mut here, grow, &view.candle, &mut wishes);
        }
        // The flags are still there to point at.
        let is_full = aside && !controls.aside_told && view.candle.may_put_rest_off();
        if !is_full || place.width() >= EVERYTHING {
            marks(&mut here, grow, view.pencil.len(), true);
        }
    } else {
        if answers_here {
            later(&mut here, grow, &view.candle, &mut wishes);
        }
        let mut here = row(ui, kit, "controls of the listen", place.with_min_y(place.bottom() - HEIGHT));
        lights_out(&mut here, grow, &mut wishes);
        if answers_here {
            rest_now(&mut here, grow, &view.candle, &mut wishes);
        }
        marks(&mut here, grow, view.pencil.len(), false);
    }
    wishes
}

/// Where there are pencil marks: their list in the balance's room, or the balance again.
fn marks(ui: &mut Ui, grow: f32, count: usize, says_how_many: bool) {
    let is_open = pencil_list::is_open(ui) && !knob_marking::is_open(ui);
    let label = if says_how_many { format!("Pencil ({count})") } else { "Pencil".into() };
    let hint = format!(
        "Pencil marks, {count} made with the lights out: what the meters read there, and a line of your own"
    );
    if count > 0 && toggle(ui, grow, &label, is_open, &hint).clicked() {
        knob_marking::close(ui);
        pencil_list::set_open(ui, !is_open);
    }
}

fn lights_out(ui: &mut Ui, grow: f32, wishes: &mut Vec<Wish>) {
    let dark = "Dark for a listen: the whole song without looking, and a pencil. Switch off the screen beside it too";
    if plain(ui, grow, "Lights out").on_hover_text(dark).clicked() {
        wishes.push(Wish::LightsOut(true));
    }
}

pub(crate) const REST: &str = "Rest now";
pub(crate) const REST_HINT: &str = "The candle stops while you rest";
pub(crate) const LATER: &str = "Later";
pub(crate) const LATER_HINT: &str = "Put the rest off by ten minutes, twice at most";

fn rest_now(ui: &mut Ui, grow: f32, candle: &Candle, wishes: &mut Vec<Wish>) {
    let rests = matches!(candle.rest(), Rest::Resting(_));
    if toggle(ui, grow, REST, rests, REST_HINT).clicked() && !rests {
        wishes.push(Wish::RestNow);
    }
}

/// Where a rest is due that may still wait.
fn later(ui: &mut Ui, grow: f32, candle: &Candle, wishes: &mut Vec<Wish>) {
    if candle.may_put_rest_off() && plain(ui, grow, LATER).on_hover_text(LATER_HINT).clicked() {
        wishes.push(Wish::PutRestOff);
    }
}

/// Shows what has to do with the pass's figures, where they are on screen, and with the picture itself. They lie in the
/// order in which Tab goes through them.
pub(crate) fn show_picture(
    ui: &mut Ui,
    kit: Kit,
    place: Rect,
    controls: Option<&Controls>,
    look: Look,
    meant: usize,
) -> Vec<Wish> {
    let mut wishes = Vec::new();
    let place = place.with_min_y(place.bottom() - HEIGHT);
    let width = right_width(&kit.pen(ui), controls, look);
    let grow = kit.grow;
    let mut here = row(ui, kit, "controls of the picture", place.with_min_x(place.right() - width));
    here.spacing_mut().interact_size.y = HEIGHT * grow;
    if let Some(controls) = controls {
        let hint = "Hold this pass’s figures where they are; the song plays on";
        if toggle(&mut here, grow, pause(controls), controls.paused, hint).clicked() {
            wishes.push(Wish::Pause(!controls.paused));
        }
        if plain(&mut here, grow, RESET).on_hover_text("Begin this pass’s figures anew").clicked() {
            wishes.push(Wish::ResetPass);
        }
        here.add_space((GROUPS_APART - BETWEEN) * grow);
    }
    let (settings, wanted) =
        settings::show(&mut here, look, meant, controls.map(|controls| controls.own), grow);
    settings.on_hover_text("Palette, zoom, dimming, the song’s time and rests, the monitor knob");
    let (label, hint) = far_switch(look);
    let far = plain(&mut here, grow, label).on_hover_text(hint).clicked();
    let wanted = if far { Some(Wish::Look(Look { far: !look.far, ..look })) } else { wanted };
    wishes.extend(wanted);
    wishes
}

const RESET: &str = "Reset pass";

fn pause(controls: &Controls) -> &'static str {
    if controls.paused { "Go on" } else { "Hold pass" }
}

fn far_switch(look: Look) -> (&'static str, &'static str) {
    if look.far {
        ("Near view", "Everything again")
    } else {
        ("Far view", "What matters, to be read from across the room")
    }
}

/// What the controls on the right take, so that they end at the edge.
fn right_width(pen: &Pen, controls: Option<&Controls>, look: Look) -> f32 {
    let padding = 2.0 * PADDING;
    let button = |label: &str| pen.width(label, pen::NOTE).ceil() + padding;
    let own = [settings::NAME, far_switch(look).0].map(button).iter().sum::<f32>() + BETWEEN;
    let pass = |controls: &Controls| button(pause(controls)) + button(RESET) + BETWEEN + GROUPS_APART;
    own + controls.map_or(0.0, pass)
}

fn plain(ui: &mut Ui, grow: f32, label: &str) -> Response {
    ui.add(Button::new(label).min_size(vec2(0.0, HEIGHT * grow)))
}

fn toggle(ui: &mut Ui, grow: f32, label: &str, on: bool, hint: &str) -> Response {
    ui.add(Button::new(label).selected(on).min_size(vec2(0.0, HEIGHT * grow))).on_hover_text(hint)
}

/// Whether the window has lost the keyboard. Another window has it then, and may have had the end of a press as well. Where
/// a press is what gives the window the keyboard, some systems say lost and then got: what was said last counts.
fn loses_focus(input: &InputState) -> bool {
    let said = input.events.iter().rev().find_map(|event| match event {
        Event::WindowFocused(focused) => Some(*focused),
        _ => None,
    });
    said == Some(false)
}

/// The button that is held, the list of what it plays, and the latch.
fn hear(ui: &mut Ui, grow: f32, controls: &Controls, wishes: &mut Vec<Wish>) {
    let memory = Id::unique("what the button plays");
    let chosen: Hear = ui.data(|data| data.get_temp(memory)).unwrap_or_default();
    let held = controls.hearing.filter(|hearing| hearing.left_s.is_none());
    // The noise is held by a button among the steps of a marking, and by nothing once they are gone.
    if held.is_some_and(|hearing| hearing.what.is_noise()) && !knob_marking::is_open(ui) {
        wishes.push(Wish::LetGo);
    }
    let held = held.is_some_and(|hearing| !hearing.what.is_noise());
    let latched = controls.hearing.is_some_and(|hearing| hearing.left_s.is_some());

    let button = Button::new(chosen.label()).min_size(vec2(HEAR_WIDTH, HEIGHT) * grow);
    hold(ui, button, chosen, held, wishes)
        .on_hover_text("Turn the monitors down first. It sounds while you hold it, for a minute at most");
    let other = ui.menu_button("▾", |ui| {
        for (hear, name) in Hear::OFFERED {
            if ui.selectable_label(hear == chosen, name).clicked() {
                ui.data_mut(|data| data.insert_temp(memory, hear));
                ui.close();
            }
        }
    });
    other.response.on_hover_text("What to hear");
    let hint = "Turn the monitors down first. It sounds without your hand, for a minute at most";
    if toggle(ui, grow, "Latch", latched, hint).clicked() {
        wishes.push(if latched { Wish::LetGo } else { Wish::Latch(chosen) });
    }
}

/// Shows a button that sounds for as long as it is held.
pub(crate) fn hold(ui: &mut Ui, button: Button, what: Hear, held: bool, wishes: &mut Vec<Wish>) -> Response {
    // Sensing drags, it stays pressed for as long as it is held and wherever the pointer wanders in the window.
    let button = ui.add(button.selected(held).sense(Sense::click_and_drag()));
    let (pressed_now, focus_lost) = ui.input(|input| (input.pointer.any_pressed(), loses_focus(input)));
    let is_down = button.is_pointer_button_down_on();
    // Only a fresh press on the button asks: a window that missed how the last one ended must not ask by itself.
    if is_down && pressed_now && button.contains_pointer() && !focus_lost {
        wishes.push(Wish::Hold(what));
    } else if held && (!is_down || focus_lost) {
        wishes.push(Wish::LetGo);
    }
    button
}
