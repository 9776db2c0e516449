//! Marking the monitor knob, step by step in the balance's room: the noise, what the meter shows, and the position.

use candlemark_session::chair::{Knob, READINGS_DBA};
use egui::{Button, FontId, Id, Rect, RichText, Role, ScrollArea, TextEdit, Ui, WidgetInfo};

use crate::controls::{self, Controls, Hear};
use crate::dress::bold;
use crate::pen::Kit;
use crate::{Wish, for_balance};

/// The heading with what lies under it, in points.
const HEADING: f32 = 30.0;
/// Between two steps, in points.
const APART: f32 = 7.0;
const FIELD_WIDTH: f32 = 70.0;

/// What comes before all, brightest.
const FIRST: &str = "Turn the monitors all the way down. Take headphones off your head.";
const CAUTION: &str = "If your ears ring, or sounds seem dull, stop. No level is called safe here: local rules and a hearing \
                       professional come first.";
/// What stands before the noise can be held, and what after it.
const BEFORE: [&str; 2] = [
    "1.  Stop playback: the noise is refused while it runs, in a render and in a recording. Put a sound-level meter where \
     your head is, set to A and slow. On headphones a mark means nothing.",
    "2.  Hold “Noise left”, bring the knob up slowly to where you work, and read the meter. The noise begins far below its \
     level and is up after two seconds; let go, and it is gone. It ends by itself after half a minute.",
];
const OTHER: &str = "3.  Hold “Noise right” at the same place of the knob, and read again. Where the two differ by more than a \
                     decibel or two, look at the speakers’ own levels and at how far each is from the chair.";
// The louder (ours): one number and no sum, and an estimate that is off is off to the loud side.
const READ: &str = "4.  Type the louder of the two readings, 30 to 100 dBA, and say which position of the knob this is. It \
                    holds for this place of the knob, in this chair and room.";
const ONE_CHANNEL: &str = "The bus has one channel: there is no speaker to choose";

/// What has been typed and chosen so far. It is there while the steps are shown.
#[derive(Clone, Debug, Default)]
struct Draft {
    reading: String,
    /// None is taken for granted.
    knob: Option<Knob>,
}

fn memory() -> Id {
    Id::unique("the marking of the monitor knob")
}

pub(crate) fn is_open(ui: &Ui) -> bool {
    ui.data(|data| data.get_temp::<Draft>(memory())).is_some()
}

pub(crate) fn open(ui: &Ui) {
    ui.data_mut(|data| data.insert_temp(memory(), Draft::default()));
}

pub(crate) fn close(ui: &Ui) {
    ui.data_mut(|data| data.remove::<Draft>(memory()));
}

/// The button in the heading of the level at the chair. Gives whether it was pressed.
pub(crate) fn button(ui: &mut Ui, kit: Kit, place: Rect) -> bool {
    let button = Button::new("mark knob").selected(is_open(ui));
    let hint = "Mark where the monitor knob is, with a sound-level meter";
    kit.button(ui, place, button, hint, "Mark the monitor knob")
}

/// Draws the steps where the balance was.
pub(crate) fn show(ui: &mut Ui, kit: Kit, room: Rect, controls: &Controls) -> Vec<Wish> {
    let mut wishes = Vec::new();
    let Some(mut draft) = ui.data(|data| data.get_temp::<Draft>(memory())) else { return wishes };
    let mut is_over = for_balance::heading(ui, kit, room, "Marking the monitor knob", "");
    let steps = room.with_min_y(room.top() + HEADING);
    let mut here = ui.new_child(kit.part("steps of the marking", steps));
    ScrollArea::vertical().auto_shrink(false).show(&mut here, |ui| {
        ui.spacing_mut().item_spacing.y = APART * kit.grow;
        let first = RichText::new(FIRST).font(FontId::new(14.0 * kit.grow, bold()));
        ui.label(first.color(kit.colours.ink));
        ui.label(RichText::new(CAUTION).color(kit.colours.ink));
        for step in BEFORE {
            ui.label(step);
        }
        noise(ui, Hear::NoiseLeft, controls, &mut wishes);
        ui.label(OTHER);
        noise(ui, Hear::NoiseRight, controls, &mut wishes);
        ui.label(READ);
        if let Some((knob, read_dba)) = ui.horizontal(|ui| read(ui, kit, &mut draft)).inner {
            // There it is now.
            wishes.extend([Wish::TurnKnob(knob), Wish::MarkMonitor(knob, read_dba)]);
            is_over = true;
        }
    });
    if is_over {
        close(ui);
    } else {
        ui.data_mut(|data| data.insert_temp(memory(), draft));
    }
    wishes
}

fn noise(ui: &mut Ui, what: Hear, controls: &Controls, wishes: &mut Vec<Wish>) {
    ui.add_enabled_ui(controls.stereo, |ui| {
        let held = controls.hearing.is_some_and(|hearing| hearing.what == what);
        let button = controls::hold(ui, Button::new(what.label()), what, held, wishes);
        button.on_hover_text("Hold it down to hear").on_disabled_hover_text(ONE_CHANNEL);
    });
}

/// The reading, the position, and the button that marks. Gives both when it was pressed.
fn read(ui: &mut Ui, kit: Kit, draft: &mut Draft) -> Option<(Knob, f64)> {
    let field = TextEdit::singleline(&mut draft.reading).hint_text("reading").char_limit(8);
    let field = ui.add(field.desired_width(FIELD_WIDTH * kit.grow));
    field.widget_info(|| {
        WidgetInfo::labeled(Role::TextInput, true, "What the sound-level meter shows, in dBA")
    });
    ui.label("dBA");
    for knob in Knob::ALL {
        if ui.add(Button::new(knob.name()).selected(draft.knob == Some(knob))).clicked() {
            draft.knob = Some(knob);
        }
    }
    let read_dba = reading(&draft.reading);
    let both = draft.knob.zip(read_dba);
    let mark = ui.add_enabled(both.is_some(), Button::new("Mark it"));
    let missing = match read_dba {
        None => "Type a reading from 30 to 100 dBA first",
        Some(_) => "Say first which position of the knob this is",
    };
    let mark = mark.on_disabled_hover_text(missing);
    both.filter(|_| mark.clicked())
}

/// A reading that can be one.
fn reading(typed: &str) -> Option<f64> {
    let [least, most] = READINGS_DBA;
    let dba: f64 = typed.trim().replace(',', ".").parse().ok()?;
    (least..=most).contains(&dba).then_some(dba)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_a_room_can_read_is_a_reading() {
        assert_eq!(reading(" 63,5 "), Some(63.5));
        assert_eq!([reading("30"), reading("100")], [Some(30.0), Some(100.0)]);
        assert_eq!(["", "29.9", "101", "NaN", "inf", "loud"].map(reading), [None; 6]);
    }
}
