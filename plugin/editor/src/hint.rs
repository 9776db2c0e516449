//! The hint for the first time: three lines on top, which leave by a click, or by themselves while no hand is in the window:
//! what lies under them moves up then. They leave for good.

use std::sync::Arc;
use std::time::Duration;

use egui::{Galley, Id, Rect, Role, Sense, Ui, Vec2, vec2};

use crate::Look;
use crate::pen::{self, Kit, Pen};

/// How long it stays at least, in seconds (ours): three lines are read twice.
pub(crate) const STAYS_S: f64 = 40.0;
const PADDING: Vec2 = vec2(18.0, 8.0);
const WORDS: &str = "Turn the monitors down first, then play the song from its start. Beads show its balance, a ring what \
     mono takes, the strip its loudness where it lies; what is to be said stands on top. Settings and the far view are in the lower right corner. \
     (Click here when you have read it.)";

/// A lower window has no room for it, in points: there it waits.
const LEAST_HEIGHT: f32 = 520.0;

/// The hint, laid out for this window. `None` when it has been seen, or waits.
pub(crate) fn of(pen: &Pen, look: Look, window: Rect) -> Option<Hint> {
    let is_due = !look.hint_seen && window.height() >= LEAST_HEIGHT;
    is_due.then(|| {
        let words = pen.paragraph(WORDS, pen::LABEL, pen.colours.ink, window.width() - 2.0 * PADDING.x);
        Hint { height: pen.size(&words).y + 2.0 * PADDING.y, words }
    })
}

pub(crate) struct Hint {
    words: Arc<Galley>,
    /// In points.
    pub(crate) height: f32,
}

impl Hint {
    /// Draws it; gives whether it has been seen now.
    pub(crate) fn show(self, ui: &mut Ui, place: Rect, kit: Kit) -> bool {
        let colours = kit.colours;
        let response = kit.interact(ui, place, "the first hint", Sense::click(), Role::Button, WORDS);
        let pen = kit.pen(ui);
        pen.fill(place, colours.raised);
        let line = if response.has_focus() { colours.ink } else { colours.rule };
        pen.across(place.x_range(), place.bottom() - 0.5, 1.0, line);
        pen.write(place.min + PADDING, self.words);

        let memory = Id::unique("since when the hint is shown");
        let now_s = ui.input(|input| input.time);
        let since_s = ui.data_mut(|data| *data.get_temp_mut_or(memory, now_s));
        let left_s = STAYS_S - (now_s - since_s);
        // Nothing may move under a hand.
        let is_alone = ui.input(|input| input.pointer.latest_pos().is_none());
        let seen = response.clicked() || (left_s <= 0.0 && is_alone);
        if seen {
            ui.data_mut(|data| data.remove::<f64>(memory));
        } else if left_s > 0.0 {
            ui.ctx().request_repaint_after(Duration::from_secs_f64(left_s));
        }
        seen
    }
}
