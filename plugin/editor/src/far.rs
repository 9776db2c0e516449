//! The far view: five octave groups, three figures, the minutes and one remark, to be read from across the room.

use std::sync::Arc;

use candlemark_session::view::View;
use candlemark_session::words::number;
use egui::{Align, Galley, Rect, Ui, Vec2, pos2, vec2};

use crate::far_groups;
use crate::figure_row::Sign;
use crate::groups;
use crate::pen::{Face, Kit, Pen};
use crate::waking::Words;
use crate::{Choice, candle, sentences, text};

/// The window for which it is designed, in points: there what is to be read has 36 points or more.
const DESIGNED: Vec2 = vec2(1084.0, 680.0);
/// Letters of what is to be read, in points of that window.
pub(crate) const LETTERS: f32 = 36.0;
/// Names of what is read, which are known after a day.
const CAPTION: f32 = 20.0;
const MINUTES: f32 = 56.0;
const LOUDNESS: f32 = 68.0;
const FIGURES: f32 = 64.0;
const CANDLE_WIDTH: f32 = 168.0;
const LEFT: f32 = 190.0;
const RIGHT: f32 = 1020.0;
const TOP: f32 = 40.0;
/// What the corner's switch takes under the picture.
const FOOT: f32 = 38.0;

/// The window with its design laid over it.
#[derive(Clone, Copy)]
pub(crate) struct Far {
    window: Rect,
    /// How much larger letters are than designed.
    scale: f32,
}

impl Far {
    pub(crate) fn of(window: Rect) -> Self {
        let share = window.size() / DESIGNED;
        Self { window, scale: share.min_elem() }
    }

    /// A face of so many designed points.
    pub(crate) fn face(self, points: f32, bold: bool) -> Face {
        Face { size: self.long(points), bold }
    }

    /// So many designed points, in this window's.
    pub(crate) fn long(self, points: f32) -> f32 {
        points * self.scale
    }

    /// A designed place across: further right in a wider window.
    fn x(self, x: f32) -> f32 {
        self.window.left() + x * (self.window.width() / DESIGNED.x)
    }

    /// A designed place down: further down in a higher window.
    fn y(self, y: f32) -> f32 {
        self.window.top() + y * (self.window.height() / DESIGNED.y)
    }

    /// What is said of dimming, in the remark's place.
    pub(crate) fn words(self, pen: &Pen, view: &View, also: Option<String>) -> Words {
        let width = self.x(RIGHT) - self.x(LEFT);
        Words::of(pen, view, also, self.face(LETTERS, false), width)
    }

    /// The candle's column, which does not dim.
    pub(crate) fn candle(self) -> Rect {
        self.window.with_max_x(self.x(CANDLE_WIDTH))
    }
}

/// What is said under the far view, laid out, and where.
pub(crate) struct Said {
    /// `None` where the words of dimming stand in for it.
    remark: Option<Arc<Galley>>,
    pub(crate) place: Rect,
}

/// Lays out what is said; where there are words of dimming, only their place.
pub(crate) fn said_in(pen: &Pen, far: Far, view: &View, choice: &Choice, words: Option<&Words>) -> Said {
    let said = said(view, choice);
    let ink = if said.is_some() { pen.colours.ink } else { pen.colours.note };
    let soft = sentences::nothing_urgent(view, choice).unwrap_or_else(|| nothing_said(view).into());
    let sentence = said.unwrap_or(soft);
    let (left, right) = (far.x(LEFT), far.x(RIGHT));
    let remark = pen.paragraph(&sentence, far.face(LETTERS, false), ink, right - left);
    // The switch grows with the zoom alone.
    let foot = far.window.bottom() - far.long(FOOT).max(FOOT);
    let two_lines = 2.0 * far.long(LETTERS) * 1.17;
    let height = words.map_or(pen.size(&remark).y, |words| words.height);
    let top = foot - height.max(two_lines);
    let place = Rect::from_min_max(pos2(left, top), pos2(right, foot));
    Said { remark: words.is_none().then_some(remark), place }
}

/// Draws all but the candle and the words of dimming.
pub(crate) fn draw(ui: &Ui, kit: Kit, far: Far, view: &View, said: Said) {
    let pen = kit.pen(ui);
    let Said { remark, place } = said;
    let rule = place.top() - far.long(12.0);
    pen.across(place.x_range(), rule, 1.2, pen.colours.rule);
    if let Some(remark) = remark {
        kit.label(ui, place, "the remark from afar", remark.text());
        pen.write(place.min, remark);
    }
    figures(ui, kit, far, view, rule);
    let plot = Rect::from_x_y_ranges(place.left()..=far.x(770.0), far.y(TOP)..=rule);
    far_groups::draw(ui, kit, far, plot, view);
}

fn figures(ui: &Ui, kit: Kit, far: Far, view: &View, rule: f32) {
    let (pen, colours) = (kit.pen(ui), kit.colours);
    let loudness = view.short_term.map_or(text::UNDEFINED.into(), |lufs| number(lufs.0, 0));
    let fold_sign = if fold_is_low(view) { Sign::Ring } else { Sign::None };
    let first = if view.aside { "short-term LUFS, aside" } else { "short-term LUFS" };
    let [short_term, fold, loud_parts] =
        [groups::short_term(view), groups::song_fold(view), groups::loud_parts(view)];
    let rows = [
        (loudness, LOUDNESS, first, Sign::None, short_term),
        (fold.figure.clone(), FIGURES, "mono fold, dB", fold_sign, fold),
        (loud_parts.figure.clone(), FIGURES, "loud parts, dB", loud_parts.sign, loud_parts),
    ];
    let (left, right) = (far.x(780.0), far.x(RIGHT));
    let (top, bottom) = (far.y(TOP), rule - far.long(8.0));
    let pitch = (bottom - top) / rows.len() as f32;
    for (index, (figure, points, caption, sign, row)) in rows.into_iter().enumerate() {
        let above = top + pitch * index as f32;
        let base = above + (pitch * 0.58).max(far.long(points * 0.8));
        let face = far.face(points, true);
        let place = pen.text(pos2(right, base), Align::Max, &figure, face, sign.colour(colours));
        // Its colour alone would tell too little.
        let before = pos2(place.left() - far.long(28.0), base - far.long(points * 0.36));
        sign.draw(&pen, before, far.long(12.0), far.long(5.0));
        let under = base + far.long(30.0);
        pen.text(pos2(right, under), Align::Max, caption, far.face(CAPTION, false), colours.note);
        row.name(ui, kit, Rect::from_min_max(pos2(left, above), pos2(right, above + pitch)));
    }
}

/// The song's fold lies below the records' own, or nothing is left in mono.
fn fold_is_low(view: &View) -> bool {
    view.song.fold.kept == Some(0.0) || groups::fold_is_below(view)
}

/// Draws the candle with its minutes.
pub(crate) fn draw_candle(ui: &Ui, kit: Kit, far: Far, view: &View) {
    let (pen, column) = (&kit.pen(ui), far.candle());
    kit.label(ui, column, "the candle", &candle::said(&view.candle));
    let caption = column.bottom() - far.long(60.0);
    let base = caption - far.long(32.0);
    let wax = column.with_min_y(far.y(84.0)).with_max_y(base - far.long(56.0));
    candle::draw_wax(pen, wax, &view.candle, far.scale);
    let minutes = candle::minutes(view.candle.left_s());
    let middle = column.center().x;
    let ink = pen.colours.ink;
    pen.text(pos2(middle, base), Align::Center, &minutes, far.face(MINUTES, true), ink);
    pen.text(pos2(middle, caption), Align::Center, "min left", far.face(CAPTION, false), pen.colours.note);
}

fn nothing_said(view: &View) -> &'static str {
    let has_bands = view.song.bands.iter().any(|band| band.relative.is_some());
    if has_bands { "Nothing to remark on." } else { "Not enough of the song heard yet." }
}

/// The one sentence that matters most, without what to do about it.
fn said(view: &View, choice: &Choice) -> Option<String> {
    let remark = view.remarks.first().map(|remark| remark.text.as_str());
    let whole = view.trouble.as_deref().or(choice.trouble.as_deref()).or(remark)?;
    Some(first_sentence(whole).to_owned())
}

pub(crate) fn first_sentence(whole: &str) -> &str {
    whole.split_inclusive(". ").next().unwrap_or(whole).trim_end()
}

#[cfg(test)]
mod tests {
    use egui::Pos2;

    use super::*;

    #[test]
    fn only_the_first_sentence_is_said_and_what_is_in_the_way_before_all() {
        let mut choice = Choice::default();
        let mut view = View::default();
        assert_eq!(said(&view, &choice), None);
        choice.trouble = Some("It can’t be used: line 12 is no number. Take it again.".into());
        assert_eq!(said(&view, &choice).as_deref(), Some("It can’t be used: line 12 is no number."));
        view.trouble = Some("Nothing is measured at 4000.5 Hz: choose another rate.".into());
        assert_eq!(said(&view, &choice), view.trouble);
    }

    #[test]
    fn letters_grow_with_the_smaller_side() {
        let far = Far::of(Rect::from_min_size(Pos2::ZERO, DESIGNED));
        assert_eq!(far.long(LETTERS), 36.0);
        let wide = Far::of(Rect::from_min_size(Pos2::ZERO, DESIGNED * vec2(3.0, 2.0)));
        assert_eq!(wide.long(LETTERS), 72.0);
    }
}
