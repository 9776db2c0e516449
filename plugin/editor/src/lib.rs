//! The editor: a [`View`] drawn with egui. It knows no host, no sound and no files; what the person wants of
//! them it gives back as a [`Wish`].

mod balance;
mod text;

use candlemark_session::view::View;
use egui::{Grid, ScrollArea, Ui};

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
}

/// Draws the view, and gives back what the person has asked for meanwhile.
pub fn show(ui: &mut Ui, view: &View, choice: &Choice) -> Option<Wish> {
    if let Some(trouble) = &view.trouble {
        ui.label(trouble);
        return None;
    }
    Grid::new("now").num_columns(2).show(ui, |ui| {
        let mut row = |label: &str, figure: String| {
            ui.label(label);
            ui.monospace(figure);
            ui.end_row();
        };
        row("Short-term", text::loudness(view.short_term));
        row("Mono fold, 3 s", text::fold(view.fold));
        row("Correlation, 3 s", text::correlation(view.correlation));
        row("Session", text::clock(view.session_s));
    });
    ui.separator();
    let wish = choose(ui, choice);
    if let Some(trouble) = &choice.trouble {
        ui.label(trouble);
    }
    ScrollArea::vertical().auto_shrink(false).show(ui, |ui| balance::show(ui, view));
    wish
}

fn choose(ui: &mut Ui, choice: &Choice) -> Option<Wish> {
    const NONE: &str = "none";
    let mut wish = None;
    ui.horizontal(|ui| {
        ui.label("Yardstick");
        let in_use = choice.in_use.as_deref();
        egui::ComboBox::from_id_salt("yardstick").selected_text(in_use.unwrap_or(NONE)).show_ui(ui, |ui| {
            if ui.selectable_label(in_use.is_none(), NONE).clicked() {
                wish = Some(Wish::UseNone);
            }
            for name in &choice.names {
                if ui.selectable_label(in_use == Some(name), name).clicked() {
                    wish = Some(Wish::Use(name.clone()));
                }
            }
        });
    });
    wish
}
