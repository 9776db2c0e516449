//! What is said in sentences, on top: what is in the way, and the remarks, numbered.

use std::sync::Arc;

use candlemark_session::candle::Rest;
use candlemark_session::view::View;
use egui::{Button, Color32, Galley, Pos2, Rect, Ui, Vec2, pos2, vec2};

use crate::balance::compared;
use crate::palette::Colours;
use crate::pen::{self, Kit, Pen};
use crate::rings::Ring;
use crate::{Choice, chair_group, dress};

const BETWEEN: f32 = 6.0;
/// The ring around a remark's number, and where its sentence begins.
const RING_RADIUS: f32 = 9.5;
const RING_WIDTH: f32 = 1.6;
const AFTER_RING: f32 = 28.0;
/// The button behind a remark.
const ANSWER: Vec2 = vec2(68.0, 21.0);

/// How many more remarks there are is written in so much width, in points.
const MORE_WIDTH: f32 = 58.0;

/// Sentences that are laid out, and how high they are together.
pub(crate) struct Sentences {
    sentences: Vec<Sentence>,
    /// Remarks for which there is no room.
    left_out: Vec<String>,
}

struct Sentence {
    galley: Arc<Galley>,
    /// Of all its lines, in points.
    lines: f32,
    /// Height of its first line, in points.
    line: f32,
    /// The remark's number.
    number: Option<usize>,
}

impl Sentence {
    fn of(pen: &Pen, galley: Arc<Galley>, number: Option<usize>) -> Self {
        let lines = pen.size(&galley).y;
        let line = lines / galley.rows.len().max(1) as f32;
        Self { galley, lines, line, number }
    }

    fn height(&self) -> f32 {
        let ring = if self.number.is_some() { 2.0 * RING_RADIUS } else { 0.0 };
        self.lines.max(ring)
    }
}

impl Sentences {
    /// What there is to say, in lines of at most `width` points and no higher than `most` together: of the remarks the
    /// last are left out, the least urgent, and the first is cut short before it goes.
    pub(crate) fn of(pen: &Pen, view: &View, choice: &Choice, [width, most]: [f32; 2]) -> Self {
        let all = view.remarks.len();
        let troubles = troubles(view, choice);
        if let Some(words) = nothing_urgent(view, choice).filter(|_| troubles.is_empty()) {
            let softly = pen.paragraph_of(&words, pen::LABEL, pen.colours.note, width, 1);
            return Self { sentences: vec![Sentence::of(pen, softly, None)], left_out: Vec::new() };
        }
        let paragraph = |words: &str, width: f32, lines: usize| {
            pen.paragraph_of(words, pen::SENTENCE, pen.colours.ink, width, lines)
        };
        let lay_out = |kept: usize, lines: usize| {
            let whole = |words: &&str| Sentence::of(pen, paragraph(words, width, usize::MAX), None);
            let mut sentences: Vec<Sentence> = troubles.iter().map(whole).collect();
            let more = if kept < all { MORE_WIDTH } else { 0.0 };
            for (remark, number) in view.remarks.iter().take(kept).zip(1..) {
                let more = if number == kept { more } else { 0.0 };
                let width = width - AFTER_RING - ANSWER.x - BETWEEN - more;
                sentences.push(Sentence::of(pen, paragraph(&remark.text, width, lines), Some(number)));
            }
            let left_out = view.remarks[kept..].iter().map(|remark| remark.text.clone()).collect();
            Self { sentences, left_out }
        };
        let fewer = (1..=all).rev().map(|kept| (kept, usize::MAX)).chain([(all.min(1), 1)]);
        let mut laid_out = fewer.map(|(kept, lines)| lay_out(kept, lines));
        let mut last = laid_out.next().unwrap_or_else(|| lay_out(0, 1));
        for fewer in laid_out {
            if last.height() <= most {
                break;
            }
            last = fewer;
        }
        last
    }

    /// Their height, in points; 0 when nothing is said.
    pub(crate) fn height(&self) -> f32 {
        let lines: f32 = self.sentences.iter().map(Sentence::height).sum();
        lines + BETWEEN * self.sentences.len().saturating_sub(1) as f32
    }

    /// Their places in a room, from the top.
    fn places(&self, room: Rect) -> impl Iterator<Item = (&Sentence, Rect)> {
        let mut top = room.top();
        self.sentences.iter().map(move |sentence| {
            let place = Rect::from_x_y_ranges(room.x_range(), top..=top + sentence.height());
            top = place.bottom() + BETWEEN;
            (sentence, place)
        })
    }

    /// The remark under the pointer, counted from 0. Gives every sentence its name for readers of screens.
    pub(crate) fn pointed(&self, ui: &Ui, room: Rect, kit: Kit) -> Option<usize> {
        let mut pointed = None;
        for (index, (sentence, place)) in self.places(room).enumerate() {
            let response = kit.label(ui, place, ("sentence", index), sentence.galley.text());
            if response.hovered() {
                pointed = sentence.number.map(|number| number - 1);
            }
        }
        pointed
    }

    /// The button behind each remark with which a person says that they mean it. Gives the remark, counted from 0.
    pub(crate) fn answered(&self, ui: &mut Ui, room: Rect, kit: Kit) -> Option<usize> {
        let mut answered = None;
        for (sentence, place) in self.places(room) {
            let Some(number) = sentence.number else { continue };
            let place = Rect::from_min_size(
                pos2(place.right() - ANSWER.x, place.top() + (2.0 * RING_RADIUS - ANSWER.y) / 2.0),
                ANSWER,
            );
            let mut here = ui.new_child(kit.part(("answer", number), place));
            dress::wear(&mut here, kit.colours);
            let name = format!("Meant it: {}", sentence.galley.text());
            let hint = "Say no more of this until it is worse";
            if kit.button(&mut here, place, Button::new("meant it"), hint, &name) {
                answered = Some(number - 1);
            }
        }
        if let Some(place) = self.more_at(room) {
            let named = format!("{}: {}", self.more(), self.left_out.join(" "));
            let response = kit.label(ui, place, "more remarks", &named);
            response.on_hover_text(self.left_out.join("\n"));
        }
        answered
    }

    fn more(&self) -> String {
        format!("+{} more", self.left_out.len())
    }

    /// Where it is said how many more remarks there are: before the last one's button.
    fn more_at(&self, room: Rect) -> Option<Rect> {
        let (_, place) = self.places(room).last().filter(|_| !self.left_out.is_empty())?;
        let right = place.right() - ANSWER.x - BETWEEN;
        Some(Rect::from_min_max(
            pos2(right - MORE_WIDTH, place.top()),
            pos2(right, place.top() + 2.0 * RING_RADIUS),
        ))
    }

    /// Writes them; a remark that is spoken of, counted from 0, has its ring filled.
    pub(crate) fn draw(&self, pen: &Pen, room: Rect, spoken_of: impl Fn(usize) -> bool) {
        for (sentence, place) in self.places(room) {
            let galley = Arc::clone(&sentence.galley);
            let Some(number) = sentence.number else {
                pen.write(place.min, galley);
                continue;
            };
            draw_ring(pen, place.min, number, sentence.line.max(2.0 * RING_RADIUS), spoken_of(number - 1));
            let rise = (2.0 * RING_RADIUS - sentence.line).max(0.0) / 2.0;
            pen.write(place.min + vec2(AFTER_RING, rise), galley);
        }
        if let Some(place) = self.more_at(room) {
            pen.text_within(place, &self.more(), pen::NOTE, pen.colours.note);
        }
    }
}

fn draw_ring(pen: &Pen, corner: Pos2, number: usize, line_height: f32, filled: bool) {
    let Colours { ink: line, background, .. } = *pen.colours;
    let centre = pos2(corner.x + RING_RADIUS + RING_WIDTH / 2.0, corner.y + line_height / 2.0);
    let (fill, ink) = if filled { (line, background) } else { (Color32::TRANSPARENT, line) };
    pen.filled_ring(centre, RING_RADIUS, RING_WIDTH, [fill, line]);
    pen.text_within(Rect::from_pos(centre), &number.to_string(), pen::MARK, ink);
}

/// What stands in for remarks where there are none, though marks lie outside or the person has meant some.
pub(crate) fn nothing_urgent(view: &View, choice: &Choice) -> Option<String> {
    if !view.remarks.is_empty() || cannot_wait(view) {
        return None;
    }
    match choice.meant {
        0 => shows_marks(view).then(|| "Nothing urgent.".into()),
        meant => Some(format!("Nothing urgent; {meant} meant.")),
    }
}

/// Something else in the window says what is to be done now: a level, a rest, the time, or what is wrong with the sound.
fn cannot_wait(view: &View) -> bool {
    let asks_for_rest = matches!(view.candle.rest(), Rest::Due(_) | Rest::Resting(_));
    let is_loud = chair_group::is_above(&view.at_chair);
    let health = &view.song.health;
    let is_wrong = health.overs + health.clipped_runs + health.non_finite > 0 || health.silent_side.is_some();
    asks_for_rest || view.candle.left_s() == 0.0 || is_loud || is_wrong
}

/// A band is square or has a ring.
fn shows_marks(view: &View) -> bool {
    let is_outside = view.comparison.as_ref().is_some_and(|comparison| comparison.outside_count() > 0);
    let mut bands = view.song.bands.iter();
    is_outside || bands.any(|band| Ring::of(band, compared(view, band.nominal.0), false).is_some())
}

/// What is in the way.
fn troubles<'a>(view: &'a View, choice: &'a Choice) -> Vec<&'a str> {
    [&view.trouble, &choice.trouble].into_iter().flatten().map(String::as_str).collect()
}

#[cfg(test)]
mod tests {
    use candlemark_session::candle::Candle;
    use candlemark_session::figures::{Health, SongFigures};

    use super::*;

    #[test]
    fn where_remarks_are_silent_what_was_meant_is_counted() {
        let (view, mut choice) = (View::default(), Choice::default());
        assert_eq!(nothing_urgent(&view, &choice), None, "there is nothing to see either");
        choice.meant = 3;
        assert_eq!(nothing_urgent(&view, &choice).as_deref(), Some("Nothing urgent; 3 meant."));
        let health = Health { overs: 1, ..Health::default() };
        let song = SongFigures { health, ..SongFigures::default() };
        let mut candle = Candle::default();
        candle.burn(candle.times().rest_every_s);
        for view in [View { song: song.into(), ..View::default() }, View { candle, ..View::default() }] {
            assert_eq!(nothing_urgent(&view, &choice), None, "an over and a rest that is due are urgent");
        }
    }

    #[test]
    fn every_trouble_is_said() {
        let mut view = View::default();
        let mut choice = Choice::default();
        assert!(troubles(&view, &choice).is_empty());
        view.trouble = Some("Nothing is measured.".into());
        choice.trouble = Some("It can't be read.".into());
        assert_eq!(troubles(&view, &choice), ["Nothing is measured.", "It can't be read."]);
    }
}
