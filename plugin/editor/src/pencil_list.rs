//! The list of pencil marks, in the balance's room: after a lights-out pass, or when it is asked for.

use candlemark_session::lights_out::Listen;
use candlemark_session::pencil::{NOTE_MOST, PencilMark};
use candlemark_session::song_page::SongId;
use candlemark_session::view::View;
use candlemark_session::words::{clock, number, signed};
use egui::{Align, Id, Key, Layout, Rect, RichText, Role, ScrollArea, TextEdit, Ui, WidgetInfo, pos2};

use crate::dress::bold;
use crate::pen::{self, Kit};
use crate::{Choice, Wish, for_balance, text};

/// The heading with what lies under it, in points.
const HEADING: f32 = 26.0;
/// The line of differences, in points.
const DIFFERENCES: f32 = 28.0;
/// Between two marks, in points.
const APART: f32 = 8.0;

/// Whether the list is open, and what it knows of the passes before.
#[derive(Clone, Debug, Default, PartialEq)]
struct Listed {
    song: Option<SongId>,
    passes: usize,
    is_open: bool,
}

fn memory() -> Id {
    Id::unique("the list of pencil marks")
}

/// Opens it when a pass of this song has ended since the frame before. To be called in every frame, in the dark too.
pub(crate) fn watch(ui: &Ui, view: &View, choice: &Choice) {
    let passes = view.listens.len();
    let fresh = Listed { song: choice.song.clone(), passes, is_open: false };
    ui.data_mut(|data| {
        let open = data.get_temp_mut_or(memory(), fresh.clone());
        if open.song == fresh.song {
            open.is_open |= passes > open.passes;
            open.passes = passes;
        } else {
            *open = fresh;
        }
    });
}

pub(crate) fn is_open(ui: &Ui) -> bool {
    ui.data(|data| data.get_temp::<Listed>(memory())).is_some_and(|open| open.is_open)
}

pub(crate) fn set_open(ui: &Ui, is_open: bool) {
    ui.data_mut(|data| data.get_temp_mut_or_default::<Listed>(memory()).is_open = is_open);
}

/// Draws it where the balance was. Gives the number of the mark under the pointer.
pub(crate) fn show(ui: &mut Ui, kit: Kit, room: Rect, view: &View, wishes: &mut Vec<Wish>) -> Option<u32> {
    let mut pointed = None;
    if for_balance::heading(ui, kit, room, "Pencil marks", "made with the lights out") {
        set_open(ui, false);
    }
    let (said, pen) = (differences(&view.listens), kit.pen(ui));
    let at = pos2(room.left(), room.top() + HEADING + 14.0);
    pen.text_that_fits(at, Align::Min, &said, pen::NOTE, room.width(), pen.colours.ink);
    let under = HEADING + if said.is_empty() { 4.0 } else { DIFFERENCES };
    let list = room.with_min_y(room.top() + under);
    let mut here = ui.new_child(kit.part("pencil marks", list));
    if view.pencil.is_empty() {
        here.weak("No mark was made.");
    }
    let mut marks: Vec<&PencilMark> = view.pencil.iter().collect();
    // The latest pass first.
    marks.sort_by(|one, other| other.listen.cmp(&one.listen).then(one.number.cmp(&other.number)));
    ScrollArea::vertical().auto_shrink(false).show(&mut here, |ui| {
        for mark in marks {
            let shown = ui.vertical(|ui| row(ui, kit, mark));
            wishes.extend(shown.inner);
            if ui.rect_contains_pointer(shown.response.rect) {
                pointed = Some(mark.number);
            }
            ui.add_space(APART * kit.grow);
        }
    });
    pointed
}

/// A mark and what can be done with it.
fn row(ui: &mut Ui, kit: Kit, mark: &PencilMark) -> Option<Wish> {
    let mut now = mark.clone();
    let number = mark.number;
    ui.horizontal(|ui| {
        let colour = if mark.dealt_with { kit.colours.note } else { kit.colours.ink };
        ui.label(RichText::new(number.to_string()).family(bold()).color(colour));
        ui.label(place(mark));
        ui.weak(meters(mark).join(" · "));
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            let tick = ui.checkbox(&mut now.dealt_with, "dealt with");
            let name = format!("Mark {number} is dealt with");
            tick.widget_info(|| WidgetInfo::selected(Role::CheckBox, true, now.dealt_with, &name));
        });
    });
    note(ui, mark, &mut now);
    (now != *mark).then_some(Wish::Write(now))
}

/// A hand that writes nothing for so long has written what it meant for now (ours), in seconds.
const PAUSE_S: f64 = 1.0;

/// A line that is being written.
#[derive(Clone)]
struct Draft {
    words: String,
    /// When its last letter was written, by the window's clock.
    at_s: f64,
    /// It has been handed on to be kept.
    kept: bool,
}

/// The line beside it. What is written is kept once the hand pauses or the field is left; Esc brings back what was kept last.
fn note(ui: &mut Ui, mark: &PencilMark, now: &mut PencilMark) {
    let memory = Id::unique(("note of a pencil mark", mark.number, mark.made_unix_s.to_bits()));
    let draft = ui.data(|data| data.get_temp::<Draft>(memory));
    let mut words = draft.as_ref().map_or_else(|| mark.note.clone(), |draft| draft.words.clone());
    let now_s = ui.input(|input| input.time);
    let field = TextEdit::singleline(&mut words).id(memory).hint_text("a line of your own");
    let field = ui.add(field.char_limit(NOTE_MOST).desired_width(f32::INFINITY));
    let name = format!("Note of mark {}", mark.number);
    field.widget_info(|| WidgetInfo::labeled(Role::TextInput, true, &name));
    if ui.input(|input| input.key_pressed(Key::Escape)) {
        ui.data_mut(|data| data.remove::<Draft>(memory));
    } else if field.has_focus() {
        if field.changed() {
            ui.data_mut(|data| data.insert_temp(memory, Draft { words, at_s: now_s, kept: false }));
            ui.ctx().request_repaint_after_secs(PAUSE_S as f32);
        } else if let Some(draft) = draft.filter(|draft| !draft.kept && now_s - draft.at_s >= PAUSE_S) {
            now.write(&words);
            // The field goes on with the letters as they were typed: a space at their end may be followed by more.
            ui.data_mut(|data| data.insert_temp(memory, Draft { kept: true, ..draft }));
        }
    } else if draft.is_some() || field.changed() {
        ui.data_mut(|data| data.remove::<Draft>(memory));
        now.write(&words);
    }
}

/// Where it is: by the clock, and by the bar where the host told.
fn place(mark: &PencilMark) -> String {
    let at = clock(mark.at.song_s);
    match mark.at.bar() {
        Some(bar) => format!("{at} · bar {bar}"),
        None => at,
    }
}

/// What the meters read there.
pub(crate) fn meters(mark: &PencilMark) -> Vec<String> {
    let read = &mark.read;
    let short_term = read.short_term.map(|lufs| format!("{} LUFS", number(lufs.0, 1)));
    let peak = read.true_peak_dbtp.map(|peak| format!("{} dBTP", number(peak.0, 1)));
    let fold = read.fold.kept.map(|_| match read.fold.db() {
        Some(_) => format!("fold {} dB", text::fold(read.fold)),
        None => "lost in mono".into(),
    });
    [short_term, peak, fold].into_iter().flatten().collect()
}

/// What became of the song between the pass before and this one, from long to short. Nothing before there are two.
fn differences(passes: &[Listen]) -> Vec<String> {
    let [.., before, now] = passes else { return Vec::new() };
    let figure = |name: &str, unit: &str, before: Option<f64>, now: Option<f64>| {
        let moved = now? - before?;
        Some(format!("{name} {} {unit}", signed(moved, 1)))
    };
    let lufs = |pass: &Listen| pass.integrated.map(|lufs| lufs.0);
    let peak = |pass: &Listen| pass.true_peak_dbtp.map(|peak| peak.0);
    let loud = |pass: &Listen| pass.psr_loud.map(|psr| psr.0);
    let fold = |pass: &Listen| pass.fold.map(|fold| fold.0);
    let said: Vec<String> = [
        figure("song", "LU", lufs(before), lufs(now)),
        figure("range", "LU", before.range_lu, now.range_lu),
        figure("true peak", "dB", peak(before), peak(now)),
        figure("loud parts", "dB", loud(before), loud(now)),
        figure("fold", "dB", fold(before), fold(now)),
    ]
    .into_iter()
    .flatten()
    .collect();
    if said.is_empty() {
        return Vec::new();
    }
    let said = said.join(" · ");
    vec![format!("Since the pass before: {said}"), said]
}

#[cfg(test)]
mod tests {
    use candlemark_analysis::{Db, Lufs};
    use candlemark_session::figures::SongFigures;
    use candlemark_session::pencil::SongPlace;

    use super::*;
    use crate::fixtures;

    #[test]
    fn a_bar_is_said_only_where_beats_are_known() {
        let mark = |beats| PencilMark { at: SongPlace { song_s: 40.0, beats }, ..fixtures::mark(1, 40.0) };
        assert_eq!(place(&mark(Some(67.9))), "0:40 · bar 17");
        assert_eq!(place(&mark(Some(0.0))), "0:40 · bar 1");
        assert_eq!(place(&mark(Some(-1.0))), "0:40");
        assert_eq!(place(&mark(None)), "0:40");
        assert!(meters(&mark(None)).is_empty());
    }

    #[test]
    fn what_one_of_two_passes_does_not_know_is_left_out() {
        let song = |lufs: f64, peak| SongFigures {
            integrated: Some(Lufs(lufs)),
            true_peak_dbtp: Some(Db(-4.3)),
            psr_loud: peak,
            ..SongFigures::default()
        };
        let one = Listen::of(1, 0.0, 200.0, &song(-19.6, None));
        let two = Listen::of(2, 900.0, 200.0, &song(-18.9, Some(Db(9.0))));
        assert_eq!(differences(&[one]), Vec::<String>::new());
        assert_eq!(differences(&[one, two])[0], "Since the pass before: song +0.7 LU · true peak 0.0 dB");
    }
}
