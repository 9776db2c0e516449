//! The picker of yardsticks.

use egui::{ComboBox, Rect, Role, Ui, UiBuilder, WidgetInfo};

use crate::pen::{self, Pen};
use crate::{Choice, Wish};

const NONE: &str = "no yardstick";
/// Longer names are cut short in the picker; the list shows them whole.
const WIDEST: f32 = 200.0;
const NARROWEST: f32 = 90.0;
/// What the picker takes beside its text: padding, and the sign that it opens.
const FRAME: f32 = 38.0;

fn in_use(choice: &Choice) -> &str {
    choice.in_use.as_deref().unwrap_or(NONE)
}

/// Width of the picker, in points.
pub(crate) fn width(pen: &Pen, choice: &Choice) -> f32 {
    (pen.width(in_use(choice), pen::NOTE) + FRAME).clamp(NARROWEST, WIDEST)
}

/// Shows the picker, and gives what was picked.
pub(crate) fn show(ui: &mut Ui, place: Rect, choice: &Choice) -> Option<Wish> {
    let mut wish = None;
    let mut ui = ui.new_child(UiBuilder::new().id_salt("yardstick picker").max_rect(place));
    let combo =
        ComboBox::from_id_salt("yardstick").selected_text(in_use(choice)).width(place.width()).truncate();
    let shown = combo.show_ui(&mut ui, |ui| {
        if ui.selectable_label(choice.in_use.is_none(), NONE).clicked() {
            wish = Some(Wish::UseNone);
        }
        for name in &choice.names {
            if ui.selectable_label(choice.in_use.as_ref() == Some(name), name).clicked() {
                wish = Some(Wish::Use(name.clone()));
            }
        }
    });
    shown.response.widget_info(|| WidgetInfo::labeled(Role::ComboBox, true, "Yardstick"));
    wish
}
