//! The picker of yardsticks, and the taking of one from files or from what plays.

use candlemark_session::taking::Progress;
use candlemark_session::view::View;
use candlemark_session::words::clock;
use egui::{Button, ComboBox, Id, PopupCloseBehavior, Rect, Role, TextEdit, Ui, WidgetInfo};

use crate::pen::{self, Kit, Pen};
use crate::{Choice, Wish};

const NONE: &str = "no yardstick";
/// Longer names are cut short in the picker; the list shows them whole.
const WIDEST: f32 = 200.0;
const NARROWEST: f32 = 90.0;
/// What the picker takes beside its text: padding, and the sign that it opens.
const FRAME: f32 = 38.0;
/// The field for a new yardstick's name.
const NAME_WIDTH: f32 = 130.0;

fn in_use(choice: &Choice) -> String {
    match (&choice.taking, &choice.in_use) {
        (Some(Progress { name, input_s: Some(seconds), .. }), _) => {
            format!("{} of “{name}” heard", clock(f64::from(*seconds)))
        }
        (Some(taking), _) => format!("{:.0} % of “{}” taken", 100.0 * taking.share, taking.name),
        (None, Some(name)) => name.clone(),
        (None, None) => NONE.into(),
    }
}

/// Width of the picker, in points.
pub(crate) fn width(pen: &Pen, choice: &Choice) -> f32 {
    (pen.width(&in_use(choice), pen::NOTE) + FRAME).clamp(NARROWEST, WIDEST)
}

/// Shows the picker, and gives what was picked.
pub(crate) fn show(ui: &mut Ui, kit: Kit, place: Rect, view: &View, choice: &Choice) -> Option<Wish> {
    let mut wish = None;
    let mut ui = ui.new_child(kit.part("yardstick picker", place));
    let combo = ComboBox::from_id_salt("yardstick")
        .selected_text(in_use(choice))
        .width(kit.in_window(place).width())
        .close_behavior(PopupCloseBehavior::CloseOnClickOutside)
        .truncate();
    let shown = combo.show_ui(&mut ui, |ui| {
        if ui.selectable_label(choice.in_use.is_none(), NONE).clicked() {
            wish = Some(Wish::UseNone);
        }
        for name in &choice.names {
            if ui.selectable_label(choice.in_use.as_ref() == Some(name), name).clicked() {
                wish = Some(Wish::Use(name.clone()));
            }
            if let Some(ear_match) = view.ear_match.filter(|_| choice.in_use.as_ref() == Some(name)) {
                ui.indent(name, |ui| ui.weak(ear_match.words()));
            }
        }
        ui.separator();
        if let Some(taken) = take(ui, choice, kit.grow) {
            wish = Some(taken);
        }
        if wish.is_some() {
            ui.close();
        }
    });
    shown.response.widget_info(|| WidgetInfo::labeled(Role::ComboBox, true, "Yardstick"));
    wish
}

/// A name, and the buttons that ask for files or take what plays; or those that end what is being taken.
fn take(ui: &mut Ui, choice: &Choice, grow: f32) -> Option<Wish> {
    if let Some(taking) = &choice.taking {
        return going_on(ui, taking);
    }
    // The space bar is the host’s in here too, so a name is written without.
    let memory = Id::unique("the new yardstick's name");
    let mut name = ui.data(|data| data.get_temp::<String>(memory)).unwrap_or_default();
    let field =
        TextEdit::singleline(&mut name).hint_text("name-of-a-new-one").desired_width(NAME_WIDTH * grow);
    let field = ui.add(field);
    field.widget_info(|| WidgetInfo::labeled(Role::TextInput, true, "Name of a new yardstick"));
    ui.data_mut(|data| data.insert_temp(memory, name.clone()));
    let called = name.trim().to_owned();
    let button = ui.add_enabled(!called.is_empty(), Button::new("Take from files…"));
    let button = button.on_hover_text("Choose the records: three or more, in the song’s style");
    if button.on_disabled_hover_text(NO_NAME).clicked() {
        return Some(Wish::Take(called));
    }
    ui.label("Turn the monitors down before a record plays.");
    // What is there is added to only under a button that says so.
    let there = choice.names.iter().find(|there| there.to_lowercase() == called.to_lowercase());
    let words =
        there.map_or_else(|| "Take from what plays".to_owned(), |name| format!("Add what plays to “{name}”"));
    let button = ui.add_enabled(!called.is_empty(), Button::new(words));
    let button = button.on_hover_text(
        "Turn the monitors down, then play a record through this bus, with the bus’s own processing off. The mix gets \
         nothing of it",
    );
    let wish = || Wish::TakeFromInput { name: there.cloned().unwrap_or(called), add: there.is_some() };
    button.on_disabled_hover_text(NO_NAME).clicked().then(wish)
}

const NO_NAME: &str = "Give it a name first";

/// What is being taken, and how it ends.
fn going_on(ui: &mut Ui, taking: &Progress) -> Option<Wish> {
    let Some(seconds) = taking.input_s else {
        let files = if taking.files == 1 { "one file".into() } else { format!("{} files", taking.files) };
        ui.label(format!("taking “{}” from {files}: {:.0} %", taking.name, 100.0 * taking.share));
        return ui.button("Stop taking").clicked().then_some(Wish::StopTaking);
    };
    ui.label(format!("taking “{}” from what plays: {} heard", taking.name, clock(f64::from(seconds))));
    let done = ui.button("Done").on_hover_text("The record is over: keep it, and use it");
    if done.clicked() {
        return Some(Wish::FinishInput);
    }
    ui.button("Stop taking").on_hover_text("Nothing of it is kept").clicked().then_some(Wish::StopTaking)
}
