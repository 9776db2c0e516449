//! The whole picture, near and far: its parts in their rooms, and what dims.

use candlemark_session::remarks::Urgency;
use candlemark_session::view::View;
use egui::{Color32, Id, Rect, Role, Sense, Ui, WidgetInfo};

use crate::far::{self, Far};
use crate::pen::{self, Pen};
use crate::pointing::{Lit, Pointed};
use crate::rooms::Rooms;
use crate::sentences::Sentences;
use crate::waking::{self, Words};
use crate::{Choice, Controls, Look, Wish, balance, candle, controls, groups, hint, strip, text};

/// Under what is lit while the rest is dimmed, in points.
const LIT_MARGIN: f32 = 8.0;

/// What there is to draw in a frame.
pub(crate) struct Picture<'a> {
    pub(crate) view: &'a View,
    pub(crate) choice: &'a Choice,
    pub(crate) controls: &'a Controls,
    pub(crate) look: Look,
}

impl Picture<'_> {
    pub(crate) fn pen<'ui>(&self, ui: &'ui Ui) -> Pen<'ui> {
        Pen { painter: ui.painter(), colours: self.look.palette.colours() }
    }

    /// The hint on top, where there is one; gives what it leaves of the window.
    pub(crate) fn hint(&self, ui: &mut Ui, window: Rect, wishes: &mut Vec<Wish>) -> Rect {
        let Some(hint) = hint::of(&self.pen(ui), self.look, window) else { return window };
        let under = window.with_min_y(window.top() + hint.height());
        if hint.show(ui, window.with_max_y(under.top()), self.look) {
            wishes.push(Wish::Look(Look { hint_seen: true, ..self.look }));
        }
        under
    }

    /// Everything.
    pub(crate) fn near(&self, ui: &mut Ui, window: Rect, wishes: &mut Vec<Wish>) {
        let Self { view, choice, controls, look } = *self;
        let bright_share = waking::brightness_share(ui, &view.candle, look);
        let pen = self.pen(ui);
        let width = Rooms::sentence_width(window);
        let words = (bright_share < 1.0).then(|| Words::of(&pen, view, None, pen::WAKING, width));
        let words_height = words.as_ref().map_or(0.0, Words::height);
        let mut sentences = Sentences::of(&pen, view, choice, width);
        sentences.keep_within(Rooms::most_sentences_height(window) - words_height);
        let rooms = Rooms::of(window, words_height + sentences.height());

        let said = rooms.sentences.with_min_y(rooms.sentences.top() + words_height);
        let remark = sentences.pointed(ui, said);
        let answered = sentences.answered(ui, said).and_then(|index| view.remarks.get(index));
        wishes.extend(answered.map(|remark| Wish::Mean(remark.id.clone())));
        let lit = Lit::by(remark.and_then(|index| view.remarks.get(index)));
        let mut pointed = Pointed::default();
        if view.trouble.is_none() {
            let answer = balance::draw(ui, rooms.balance, view, choice, look.palette.colours(), lit);
            wishes.extend(answer.wish);
            pointed.band_hz = answer.band_hz;
            if let Some(room) = rooms.strip {
                pointed.song_s = strip::draw(ui, room, view, look.palette.colours(), lit);
            }
            let pen = self.pen(ui);
            if let Some(room) = rooms.figures {
                groups::draw(&pen, room, view, controls.paused);
            }
            if let Some(room) = rooms.figures_line {
                figures_line(&pen, room, view);
            }
            let aside = view.aside || view.strip.iter().any(|point| point.aside);
            wishes.extend(controls::show_sound(ui, rooms.controls, controls, aside));
        }
        let of_pass = view.trouble.is_none().then_some(controls);
        wishes.extend(controls::show_picture(ui, rooms.controls, of_pass, look, choice.meant));

        let spoken_of = |index: usize| {
            remark == Some(index)
                || view.remarks.get(index).is_some_and(|remark| pointed.is_spoken_of_by(remark))
        };
        let pen = self.pen(ui);
        let (dimmed, lit) =
            if self.tells_a_fault() { (None, Some(sentences)) } else { (Some(sentences), None) };
        if let Some(sentences) = dimmed {
            sentences.draw(&pen, said, spoken_of);
        }
        // What is lit keeps its ground: on paper its letters are dark.
        let all_lit = rooms.sentences.bottom() + LIT_MARGIN;
        let lit_to = if lit.is_some() { all_lit } else { window.top() + LIT_MARGIN + words_height };
        veil(&pen, window.with_min_x(rooms.candle.right()).with_min_y(lit_to), bright_share);
        // What the candle has to say, and what is wrong, is not dimmed with the rest.
        candle::draw(&pen, rooms.candle, &view.candle);
        if let Some(words) = words {
            words.draw(&pen, rooms.sentences);
        }
        if let Some(sentences) = lit {
            sentences.draw(&pen, said, spoken_of);
        }
    }

    /// What matters, to be read from across the room. A click anywhere brings everything back.
    pub(crate) fn far(&self, ui: &mut Ui, window: Rect, wishes: &mut Vec<Wish>) {
        let Self { view, choice, controls, look } = *self;
        let bright_share = waking::brightness_share(ui, &view.candle, look);
        let back = ui.interact(window, Id::unique("the far view"), Sense::click());
        back.widget_info(|| WidgetInfo::labeled(Role::Button, true, "Back to the near view"));
        let pen = self.pen(ui);
        let far = Far::of(window);
        let also = self.tells_a_fault().then(|| far::said(view, choice)).flatten();
        let words = (bright_share < 1.0).then(|| far.words(&pen, view, also));
        let said = far::draw(&pen, far, view, choice, words.as_ref());
        let corner = window.shrink2(egui::vec2(18.0, 8.0));
        wishes.extend(controls::show_picture(ui, corner, None, look, choice.meant));
        let pen = self.pen(ui);
        veil(
            &pen,
            window.with_min_x(far.candle().right()).with_max_y(said.top() - far.long(6.0)),
            bright_share,
        );
        far::draw_candle(&pen, far, view);
        if let Some(words) = words {
            words.draw(&pen, said);
        }
        if back.clicked() && bright_share == 1.0 {
            wishes.push(Wish::Look(Look { far: false, ..look }));
        }
        // What is held is held by a button, and here there is none.
        if controls.hearing.is_some_and(|hearing| hearing.left_s.is_none()) {
            wishes.push(Wish::LetGo);
        }
    }

    /// Something said is wrong with the sound, not with the mix: it stays as bright as it is.
    fn tells_a_fault(&self) -> bool {
        let of_sound = |id: &str| matches!(id, "clipped-runs" | "true-peak-overs" | "dc");
        let mut remarks = self.view.remarks.iter();
        self.view.trouble.is_some()
            || self.choice.trouble.is_some()
            || remarks.any(|remark| remark.urgency == Urgency::Broken || of_sound(&remark.id))
    }
}

/// Three figures in a line, where there is no room for a column of them.
fn figures_line(pen: &Pen, room: Rect, view: &View) {
    let figures = [
        ("short-term", text::figure(view.short_term.map(|lufs| lufs.0))),
        ("fold", text::fold(view.song.fold)),
        ("loud parts", text::figure(view.song.psr_loud.map(|db| db.0))),
    ];
    let mut at = egui::pos2(room.left(), room.top() + 14.0);
    for (name, figure) in figures {
        let name = pen.text(at, egui::Align::Min, name, pen::LABEL, pen.colours.note);
        at.x = name.right() + 8.0;
        at.x = pen.text(at, egui::Align::Min, &figure, pen::FIGURE, pen.colours.ink).right() + 24.0;
    }
}

fn veil(pen: &Pen, place: Rect, bright_share: f64) {
    if bright_share < 1.0 {
        let dark = ((1.0 - bright_share.clamp(0.0, 1.0)) * 255.0).round() as u8;
        pen.painter.rect_filled(place, 0.0, Color32::from_black_alpha(dark));
    }
}
