//! Which part of the song the strip shows: a drag over it chooses a part, a double click the whole; with the keyboard's
//! focus the arrows and + and − do the same. The space bar is the host's.

use egui::{EventFilter, Id, InputState, Key, Rangef, Response, Ui};

use crate::pen::Kit;
use crate::strip_scale::StripScale;

/// The shortest part that is shown, in seconds.
const SHORTEST_S: f64 = 5.0;
/// A shorter drag is a click with an unsteady hand, in points.
const SHORTEST_DRAG: f32 = 6.0;
/// The arrows move by this share of what is shown.
const STEP: f64 = 0.25;

/// A part of the song, in seconds. `None` is the whole.
pub(crate) type Part = Option<[f64; 2]>;

fn memory() -> Id {
    Id::unique("the part of the song that the strip shows")
}

/// The part that was chosen, as far as it lies in the song.
pub(crate) fn chosen(ui: &Ui, whole: [f64; 2]) -> Part {
    let part: Part = ui.data(|data| data.get_temp(memory())).unwrap_or_default();
    part.and_then(|part| within(part, whole))
}

/// Takes what the person does to the strip, and keeps the part that it chooses. Gives the places between which a drag
/// goes on.
pub(crate) fn choose(
    ui: &Ui,
    response: &Response,
    whole: [f64; 2],
    scale: &StripScale,
    kit: Kit,
) -> Option<Rangef> {
    let part = chosen(ui, whole);
    if response.clicked() || response.drag_started() {
        response.request_focus();
    }
    let filter = EventFilter {
        horizontal_arrows: true,
        vertical_arrows: true,
        escape: true,
        ..EventFilter::default()
    };
    ui.memory_mut(|memory| memory.set_focus_lock_filter(response.id, filter));

    let drag = drag(ui, response, scale, kit);
    let next = if response.double_clicked() {
        None
    } else if let Some(drag) = drag.filter(|_| response.drag_stopped()) {
        within([scale.song_s(drag.min), scale.song_s(drag.max)], whole)
    } else if response.has_focus() {
        ui.input(|input| by_keys(input, part, whole))
    } else {
        part
    };
    if next != part {
        ui.data_mut(|data| data.insert_temp(memory(), next));
        ui.request_repaint();
    }
    drag.filter(|_| response.dragged())
}

/// The places between which a drag goes on or has just ended; once it has ended, egui no longer knows where it began.
fn drag(ui: &Ui, response: &Response, scale: &StripScale, kit: Kit) -> Option<Rangef> {
    let memory = Id::unique("the places between which a drag over the strip goes on");
    if response.drag_stopped() {
        let ended: Option<[f32; 2]> = ui.data_mut(|data| data.remove_temp(memory));
        return ended.map(|[from, to]| Rangef::new(from, to));
    }
    if !response.dragged() {
        return None;
    }
    let origin = kit.designed(ui.input(|input| input.pointer.press_origin())?);
    let now = kit.designed(response.interact_pointer_pos()?);
    let inside = |x: f32| x.clamp(scale.plot.left(), scale.plot.right());
    let drag = Rangef::new(inside(origin.x.min(now.x)), inside(origin.x.max(now.x)));
    if drag.span() < SHORTEST_DRAG {
        ui.data_mut(|data| data.remove::<[f32; 2]>(memory));
        return None;
    }
    ui.data_mut(|data| data.insert_temp(memory, [drag.min, drag.max]));
    Some(drag)
}

fn by_keys(input: &InputState, part: Part, whole: [f64; 2]) -> Part {
    let pressed = |keys: &[Key]| keys.iter().any(|key| input.key_pressed(*key));
    let [from, to] = part.unwrap_or(whole);
    let (middle, half, step) = (f64::midpoint(from, to), (to - from) / 2.0, (to - from) * STEP);
    if pressed(&[Key::ArrowUp, Key::Plus, Key::Equals]) {
        within([middle - half / 2.0, middle + half / 2.0], whole)
    } else if pressed(&[Key::ArrowDown, Key::Minus]) {
        within([middle - 2.0 * half, middle + 2.0 * half], whole)
    } else if pressed(&[Key::ArrowLeft]) {
        part.and_then(|_| within([from - step, to - step], whole))
    } else if pressed(&[Key::ArrowRight]) {
        part.and_then(|_| within([from + step, to + step], whole))
    } else if pressed(&[Key::Home, Key::Escape]) {
        None
    } else {
        part
    }
}

/// The part, moved and cut so that it lies in the whole; the whole itself is no part.
fn within([from, to]: [f64; 2], [begin, end]: [f64; 2]) -> Part {
    let length = (to - from).max(SHORTEST_S);
    if length >= end - begin {
        return None;
    }
    let from = (f64::midpoint(from, to) - length / 2.0).clamp(begin, end - length);
    Some([from, from + length])
}

#[cfg(test)]
mod tests {
    use super::*;

    const WHOLE: [f64; 2] = [0.0, 220.0];

    #[test]
    fn a_part_lies_in_the_whole_and_the_whole_is_none() {
        assert_eq!(within([20.0, 60.0], WHOLE), Some([20.0, 60.0]));
        assert_eq!(within([-20.0, 20.0], WHOLE), Some([0.0, 40.0]));
        assert_eq!(within([200.0, 240.0], WHOLE), Some([180.0, 220.0]));
        assert_eq!(within([-1.0, 221.0], WHOLE), None);
        assert_eq!(within([100.0, 100.5], WHOLE), Some([97.75, 102.75]), "no shorter than five seconds");
    }

    #[test]
    fn a_song_that_became_another_is_shown_in_part_no_longer_than_it_is() {
        assert_eq!(within([180.0, 220.0], [0.0, 60.0]), Some([20.0, 60.0]));
        assert_eq!(within([100.0, 200.0], [0.0, 60.0]), None);
    }
}
