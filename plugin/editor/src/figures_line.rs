//! Three figures in a line, where there is no room for a column of them.

use candlemark_session::view::View;
use egui::{Align, Rect, Ui, pos2};

use crate::groups;
use crate::pen::{self, Kit};

pub(crate) fn draw(ui: &Ui, kit: Kit, room: Rect, view: &View) {
    let pen = kit.pen(ui);
    let mut at = pos2(room.left(), room.top() + 14.0);
    for row in [groups::short_term(view), groups::song_fold(view), groups::loud_parts(view)] {
        let label = row.label.trim_end_matches(", song");
        let name = pen.text(at, Align::Min, label, pen::LABEL, pen.colours.note);
        at.x = name.right() + 8.0;
        let figure = pen.text(at, Align::Min, &row.figure, pen::FIGURE, pen.colours.ink);
        row.name(ui, kit, name.union(figure));
        at.x = figure.right() + 24.0;
    }
}
