//! What stands in the balance's room for a while: its heading, with the way back on the right.

use egui::{Align, Layout, Rect, Ui, pos2};

use crate::pen::{self, Kit};

/// Height of its row, in points.
const HEIGHT: f32 = 24.0;

/// Shows it, with a note behind it. Gives whether the balance is wanted back.
pub(crate) fn heading(ui: &mut Ui, kit: Kit, room: Rect, title: &str, note: &str) -> bool {
    let (pen, at) = (kit.pen(ui), pos2(room.left(), room.top() + 14.0));
    let title = pen.text(at, Align::Min, title, pen::TITLE, pen.colours.ink);
    pen.text(pos2(title.right() + 8.0, at.y), Align::Min, note, pen::NOTE, pen.colours.note);
    let row = kit.part("in the balance's room", room.with_max_y(room.top() + HEIGHT));
    ui.new_child(row.layout(Layout::right_to_left(Align::Center))).button("Back to the balance").clicked()
}
