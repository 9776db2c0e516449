//! The settings, in one place: how the picture looks and dims, the song's time and its rests, how the person listens, and
//! the hint for the first time.

use candlemark_session::candle::{BUDGETS_S, REST_EVERY_LIMITS_S, REST_FOR_LIMITS_S, Times};
use candlemark_session::chair::{Knob, MEANT_DBA, MEANT_LIMITS_DBA};
use candlemark_session::lights_out::{HAND_LIMITS_S, HAND_S};
use egui::containers::menu::{MenuButton, MenuConfig};
use egui::{DragValue, PopupCloseBehavior, Response, Ui};

use crate::look::{FLOORS_PERCENT, Look, ZOOMS_PERCENT};
use crate::palette::Palette;
use crate::{Wish, knob_marking};

/// What opens them.
pub(crate) const NAME: &str = "Settings";
/// What begins a marking of the knob.
const MARK: &str = "mark it…";
const NAMES_WIDTH: f32 = 110.0;

/// How a person works and listens.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Own {
    /// Where the monitor knob is.
    pub knob: Knob,
    /// On headphones.
    pub headphones: bool,
    /// The level that is meant at the chair, in dBA.
    pub meant_dba: i32,
    /// The song's time and its rests.
    pub times: Times,
    /// How late the hand is that marks in the dark, in seconds.
    pub hand_s: i32,
}

impl Default for Own {
    fn default() -> Self {
        Self {
            knob: Knob::default(),
            headphones: false,
            meant_dba: MEANT_DBA as i32,
            times: Times::default(),
            hand_s: HAND_S as i32,
        }
    }
}

/// Shows the button, and behind it the settings; gives what was chosen.
pub(crate) fn show(
    ui: &mut Ui,
    look: Look,
    meant: usize,
    own: Option<Own>,
    grow: f32,
) -> (Response, Option<Wish>) {
    let mut wanted = look;
    let mut nothing_meant = false;
    let mut works = None;
    // A figure is dragged or typed, for which it must stay.
    let stays = MenuConfig::new().close_behavior(PopupCloseBehavior::CloseOnClickOutside);
    let (button, _) = MenuButton::new(NAME).config(stays).ui(ui, |ui| {
        let percent = |percent: u16| (percent, format!("{percent} %"));
        let Look { palette, zoom_percent, floor_percent, rings_always, as_heard, hint_seen, .. } =
            &mut wanted;
        one_of(ui, grow, "Palette", palette, Palette::ALL.map(|palette| (palette, palette.name())));
        one_of(ui, grow, "Zoom", zoom_percent, ZOOMS_PERCENT.map(percent));
        one_of(ui, grow, "Dims down to", floor_percent, FLOORS_PERCENT.map(percent));
        let rings = [(false, "outside the records’"), (true, "always")];
        one_of(ui, grow, "Rings in mono", rings_always, rings);
        one_of(ui, grow, "As heard", as_heard, [(false, "no ticks"), (true, "at the level at the chair")]);
        one_of(ui, grow, "First hint", hint_seen, [(false, "show"), (true, "seen")]);
        if let Some(own) = own {
            works = of_own(ui, grow, own);
        }
        if meant > 0 {
            row(ui, grow, "Meant remarks", |ui| {
                let words = if meant == 1 { "say it again".into() } else { format!("say all {meant} again") };
                if ui.selectable_label(false, words).clicked() {
                    nothing_meant = true;
                    ui.close();
                }
            });
        }
    });
    let wanted = (wanted != look).then_some(Wish::Look(wanted));
    (button, works.or(nothing_meant.then_some(Wish::MeanNothing)).or(wanted))
}

/// What has to do with how a person works and listens.
fn of_own(ui: &mut Ui, grow: f32, before: Own) -> Option<Wish> {
    let mut now = before;
    let Times { budget_s, rest_every_s, rest_for_s } = &mut now.times;
    row(ui, grow, "Song time", |ui| minutes(ui, budget_s, BUDGETS_S, 5.0));
    row(ui, grow, "Rest every", |ui| {
        minutes(ui, rest_every_s, REST_EVERY_LIMITS_S, 1.0);
        ui.label("for");
        minutes(ui, rest_for_s, REST_FOR_LIMITS_S, 1.0);
    });
    row(ui, grow, "Hand late by", |ui| figure(ui, &mut now.hand_s, HAND_LIMITS_S, 0.1, " s"));
    row(ui, grow, "Meant level", |ui| figure(ui, &mut now.meant_dba, MEANT_LIMITS_DBA, 0.1, " dBA"));
    row(ui, grow, "Monitor knob", |ui| {
        for knob in Knob::ALL {
            choose(ui, &mut now.knob, knob, knob.name());
        }
        // Small windows have no other button for it.
        if ui.selectable_label(false, MARK).clicked() {
            knob_marking::open(ui);
            ui.close();
        }
    });
    one_of(ui, grow, "Listening on", &mut now.headphones, [(false, "speakers"), (true, "headphones")]);
    // A hand does one thing at a time.
    let wishes = [
        (now.times != before.times, Wish::Plan(now.times)),
        (now.hand_s != before.hand_s, Wish::HandLate(now.hand_s)),
        (now.meant_dba != before.meant_dba, Wish::MeanLevel(now.meant_dba)),
        (now.knob != before.knob, Wish::TurnKnob(now.knob)),
        (now.headphones != before.headphones, Wish::Headphones(now.headphones)),
    ];
    wishes.into_iter().find_map(|(is_new, wish)| is_new.then_some(wish))
}

/// Whole minutes of so many seconds, to be dragged or typed.
fn minutes(ui: &mut Ui, seconds: &mut f64, limits_s: [f64; 2], step: f64) {
    let mut now = (*seconds / 60.0).round() as i32;
    let before = now;
    let [least, most] = limits_s.map(|seconds| seconds / 60.0);
    figure(ui, &mut now, [least, most], step / 8.0, " min");
    // What was not touched stays as it is, to its last digit.
    if now != before {
        *seconds = 60.0 * f64::from(now);
    }
}

/// `speed` is how much it changes for a point that it is dragged.
fn figure(ui: &mut Ui, value: &mut i32, [least, most]: [f64; 2], speed: f64, unit: &str) {
    ui.scope(|ui| {
        // A menu frames nothing; that this can be changed must be seen.
        let visuals = ui.visuals_mut();
        visuals.widgets.inactive.bg_stroke = visuals.widgets.noninteractive.bg_stroke;
        let figure = DragValue::new(value).range(least as i32..=most as i32).speed(speed).suffix(unit);
        let hint = format!("Drag it, or click and type: {least} to {most}{unit}");
        ui.add(figure.update_while_editing(false)).on_hover_text(hint);
    });
}

fn row(ui: &mut Ui, grow: f32, name: &str, choices: impl FnOnce(&mut Ui)) {
    ui.horizontal(|ui| {
        let place = egui::vec2(NAMES_WIDTH * grow, ui.spacing().interact_size.y);
        ui.allocate_ui_with_layout(place, egui::Layout::left_to_right(egui::Align::Center), |ui| {
            ui.set_min_width(NAMES_WIDTH * grow);
            ui.label(name);
        });
        choices(ui);
    });
}

/// A row of what can be chosen, each with what it is called.
fn one_of<T: PartialEq, const N: usize>(
    ui: &mut Ui,
    grow: f32,
    name: &str,
    chosen: &mut T,
    offered: [(T, impl AsRef<str>); N],
) {
    row(ui, grow, name, |ui| {
        for (this, name) in offered {
            choose(ui, chosen, this, name.as_ref());
        }
    });
}

fn choose<T: PartialEq>(ui: &mut Ui, chosen: &mut T, this: T, name: &str) {
    if ui.selectable_label(*chosen == this, name).clicked() {
        *chosen = this;
        ui.close();
    }
}
