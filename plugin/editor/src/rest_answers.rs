//! The answers to a rest that is due, beside what is said of it: as bright as that while the rest of the picture is dimmed.

use candlemark_session::candle::{Candle, Rest};
use egui::{Align, Button, Id, Layout, Rect, Ui, vec2};

use crate::controls::{LATER, LATER_HINT, REST, REST_HINT};
use crate::pen::Kit;
use crate::{Wish, dress};

/// What both take, in points.
const WIDTH: f32 = 142.0;
const HEIGHT: f32 = 22.0;
const BETWEEN: f32 = 6.0;

/// Whether a rest is asked for: one is due, and the time is not up, which comes before it.
pub(crate) fn are_asked_for(candle: &Candle) -> bool {
    matches!(candle.rest(), Rest::Due(_)) && candle.left_s() > 0.0
}

/// What they take of the width of what is said, in points.
pub(crate) fn width(candle: &Candle) -> f32 {
    if are_asked_for(candle) { WIDTH + BETWEEN } else { 0.0 }
}

fn memory() -> Id {
    Id::unique("where a rest is answered")
}

/// Where they were drawn in the frame before, in the window's points: a press there answers, and does not wake.
pub(crate) fn drawn_at(ui: &Ui) -> Option<Rect> {
    ui.data(|data| data.get_temp(memory()))
}

/// There are none in this frame.
pub(crate) fn forget(ui: &Ui) {
    ui.data_mut(|data| data.remove::<Rect>(memory()));
}

/// Shows them at the right end of `room`, in the colours of what is lit; over all that keeps a click away.
pub(crate) fn show(ui: &mut Ui, kit: Kit, room: Rect, candle: &Candle) -> Option<Wish> {
    let place = room.with_min_x(room.right() - WIDTH).with_max_y(room.top() + HEIGHT);
    ui.data_mut(|data| data.insert_temp(memory(), kit.in_window(place)));
    let part = kit.part("answers to a rest", place);
    let mut here = ui.new_child(part.layout(Layout::right_to_left(Align::Center)));
    dress::wear(&mut here, kit.colours);
    here.spacing_mut().item_spacing.x = BETWEEN * kit.grow;
    let mut button = |label: &str, hint: &str| {
        let button = Button::new(label).min_size(vec2(0.0, HEIGHT * kit.grow));
        here.add(button).on_hover_text(hint).clicked()
    };
    let later = candle.may_put_rest_off() && button(LATER, LATER_HINT);
    let rest = button(REST, REST_HINT);
    rest.then_some(Wish::RestNow).or(later.then_some(Wish::PutRestOff))
}
