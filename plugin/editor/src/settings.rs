//! The settings, in one place: palette, zoom, how far the picture dims, and the hint for the first time.

use candlemark_session::chair::Knob;
use egui::{Response, Ui};

use crate::controls::Monitoring;
use crate::look::{FLOORS_PERCENT, Look, ZOOMS_PERCENT};
use crate::palette::Palette;
use crate::{Wish, knob_marking};

/// What opens them.
pub(crate) const NAME: &str = "Settings";
/// What begins a marking of the knob.
const MARK: &str = "mark it…";
const NAMES_WIDTH: f32 = 110.0;

/// Shows the button, and behind it the settings; gives what was chosen.
pub(crate) fn show(
    ui: &mut Ui,
    look: Look,
    meant: usize,
    monitoring: Option<Monitoring>,
    grow: f32,
) -> (Response, Option<Wish>) {
    let mut wanted = look;
    let mut nothing_meant = false;
    let mut listens = None;
    let opened = ui.menu_button(NAME, |ui| {
        row(ui, grow, "Palette", |ui| {
            for palette in Palette::ALL {
                choose(ui, &mut wanted.palette, palette, palette.name());
            }
        });
        row(ui, grow, "Zoom", |ui| {
            for percent in ZOOMS_PERCENT {
                choose(ui, &mut wanted.zoom_percent, percent, &format!("{percent} %"));
            }
        });
        row(ui, grow, "Dims down to", |ui| {
            for percent in FLOORS_PERCENT {
                choose(ui, &mut wanted.floor_percent, percent, &format!("{percent} %"));
            }
        });
        row(ui, grow, "Rings in mono", |ui| {
            choose(ui, &mut wanted.rings_always, false, "outside the records’");
            choose(ui, &mut wanted.rings_always, true, "always");
        });
        row(ui, grow, "First hint", |ui| {
            choose(ui, &mut wanted.hint_seen, false, "show");
            choose(ui, &mut wanted.hint_seen, true, "seen");
        });
        if let Some(before) = monitoring {
            let mut now = before;
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
            row(ui, grow, "Listening on", |ui| {
                choose(ui, &mut now.headphones, false, "speakers");
                choose(ui, &mut now.headphones, true, "headphones");
            });
            if now.knob != before.knob {
                listens = Some(Wish::TurnKnob(now.knob));
            } else if now.headphones != before.headphones {
                listens = Some(Wish::Headphones(now.headphones));
            }
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
    let wish =
        if nothing_meant { Some(Wish::MeanNothing) } else { (wanted != look).then_some(Wish::Look(wanted)) };
    (opened.response, listens.or(wish))
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

fn choose<T: PartialEq>(ui: &mut Ui, chosen: &mut T, this: T, name: &str) {
    if ui.selectable_label(*chosen == this, name).clicked() {
        *chosen = this;
        ui.close();
    }
}
