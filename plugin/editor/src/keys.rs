//! The keyboard: the space bar stays the host's, and what has the focus is seen to have it.

use egui::{Event, Key, Order, Stroke, StrokeKind, Ui};

use crate::Look;

/// egui operates what has the focus by the space bar as well, which is the host's: it starts and stops the song.
/// While a name or a note is written, a space belongs to it.
pub(crate) fn leave_space_to_the_host(ui: &Ui) {
    if ui.ctx().text_edit_focused() {
        return;
    }
    let is_space = |event: &Event| match event {
        Event::Key { key, .. } => *key == Key::Space,
        Event::Text(text) => text == " ",
        _ => false,
    };
    ui.input_mut(|input| input.events.retain(|event| !is_space(event)));
}

/// Draws a line around what has the focus, over all else.
pub(crate) fn show_focus(ui: &Ui, look: Look) {
    let ctx = ui.ctx();
    let focused = ctx.memory(egui::Memory::focused);
    let Some(response) = focused.and_then(|id| ctx.read_response(id)) else { return };
    let painter = match response.layer_id.order {
        Order::Background => ui.painter().clone(),
        _ => ctx.layer_painter(response.layer_id),
    };
    let line = Stroke::new(2.0, look.palette.colours().ink);
    let place = response.rect.expand(2.0).intersect(ui.max_rect().shrink(1.0));
    painter.rect_stroke(place, 4.0, line, StrokeKind::Inside);
}
