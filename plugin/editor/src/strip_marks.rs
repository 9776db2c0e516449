//! Pencil marks on the song strip: numbered flags cut to a point like a pencil, each with a dashed line at its place.

use candlemark_session::pencil::PencilMark;
use candlemark_session::words::clock;
use egui::{Align, Color32, Rangef, Rect, Ui, pos2, vec2};

use crate::pen::{self, Kit, Pen};
use crate::pencil_list::meters;
use crate::strip_scale::StripScale;
use crate::text;

const FLAG_HEIGHT: f32 = 15.0;
/// Its point reaches so far down from it.
const POINT: f32 = 7.0;
/// A pointer so near to a flag's line points at it, in points.
const NEAR: f32 = 7.0;

/// Draws them, the one of this number lit. Where flags would cover each other the earlier one is shown; the lines all are.
pub(crate) fn draw(ui: &Ui, kit: Kit, scale: &StripScale, marks: &[PencilMark], lit: Option<u32>) {
    let (pen, colours, plot) = (kit.pen(ui), kit.colours, scale.plot);
    let mut shown: Vec<&PencilMark> = marks.iter().filter(|mark| scale.shows(mark.at.song_s)).collect();
    shown.sort_by(|one, other| one.at.song_s.total_cmp(&other.at.song_s));
    let mut taken = f32::NEG_INFINITY;
    for mark in shown {
        let x = scale.x(mark.at.song_s);
        let figure = mark.number.to_string();
        let width = (pen.width(&figure, pen::MARK) + 8.0).max(FLAG_HEIGHT + 1.0);
        let middle = x.clamp(plot.left() + width / 2.0, plot.right() - width / 2.0);
        let flag =
            Rect::from_center_size(pos2(middle, plot.top() + FLAG_HEIGHT / 2.0), vec2(width, FLAG_HEIGHT));
        let is_lit = lit == Some(mark.number);
        let line = if is_lit {
            colours.ink
        } else if mark.dealt_with {
            colours.wire
        } else {
            colours.note
        };
        pen.dashed_down(x, Rangef::new(plot.top() + FLAG_HEIGHT + POINT, plot.bottom()), 1.6, line);
        if flag.left() < taken && !is_lit {
            continue;
        }
        taken = flag.right() + 2.0;
        let ink = if mark.dealt_with && !is_lit {
            pen.fill(flag, colours.raised);
            pen.frame(flag, 1.0, colours.note);
            colours.note
        } else {
            point(&pen, flag, x, line);
            pen.fill(flag, line);
            colours.background
        };
        pen.text(pos2(middle, flag.bottom() - 3.5), Align::Center, &figure, pen::MARK, ink);
        kit.label(ui, flag, ("pencil mark", mark.number), &said(mark)[0]);
    }
}

/// What a flag of a mark that is not dealt with, or is lit, ends in.
fn point(pen: &Pen, flag: Rect, x: f32, colour: Color32) {
    let tip = pos2(x.clamp(flag.left(), flag.right()), flag.bottom() + POINT);
    pen.polygon(vec![flag.left_bottom(), flag.right_bottom(), tip], colour);
}

/// The mark under a pointer at this place across.
pub(crate) fn pointed<'m>(scale: &StripScale, marks: &'m [PencilMark], x: f32) -> Option<&'m PencilMark> {
    let away = |mark: &PencilMark| (scale.x(mark.at.song_s) - x).abs();
    let near = marks.iter().filter(|mark| scale.shows(mark.at.song_s) && away(mark) <= NEAR);
    near.min_by(|one, other| away(one).total_cmp(&away(other)))
}

/// What a mark says, and what the meters read there: from long to short.
pub(crate) fn said(mark: &PencilMark) -> Vec<String> {
    let at = format!("mark {}, {}", mark.number, clock(mark.at.song_s));
    let done = if mark.dealt_with { ", dealt with" } else { "" };
    let note = if mark.note.is_empty() { String::new() } else { format!(": {}", mark.note) };
    let mut read = meters(mark);
    if mark.read.correlation.is_some() {
        read.push(format!("correlation {}", text::correlation(mark.read.correlation)));
    }
    let meters = if read.is_empty() { String::new() } else { format!(" ({})", read.join(", ")) };
    vec![format!("{at}{done}{note}{meters}"), format!("{at}{done}{note}"), format!("{at}{done}{meters}"), at]
}

#[cfg(test)]
mod tests {
    use candlemark_analysis::{Db, Lufs};
    use candlemark_session::figures::Fold;
    use candlemark_session::pencil::MetersRead;

    use super::*;
    use crate::fixtures;

    #[test]
    fn a_mark_says_its_note_and_what_the_meters_read() {
        let read = MetersRead {
            short_term: Some(Lufs(-18.44)),
            true_peak_dbtp: Some(Db(-3.1)),
            fold: Fold { kept: Some(0.5) },
            correlation: Some(0.2),
        };
        let mark = PencilMark { read, note: "the bridge drags".into(), ..fixtures::mark(2, 108.0) };
        assert_eq!(
            said(&mark)[0],
            "mark 2, 1:48: the bridge drags (−18.4 LUFS, −3.1 dBTP, fold −3.0 dB, correlation +0.20)"
        );
        let bare = PencilMark { dealt_with: true, ..fixtures::mark(2, 108.0) };
        assert_eq!(said(&bare)[0], "mark 2, 1:48, dealt with");
    }
}
