//! The whole picture, near and far: its parts in their rooms, and what dims.

use candlemark_session::remarks::Urgency;
use candlemark_session::view::View;
use egui::{Color32, Rect, Role, Sense, Ui};

use crate::far::{self, Far};
use crate::pen::{self, Kit, Pen};
use crate::pointing::{Lit, Pointed};
use crate::rooms::Rooms;
use crate::sentences::Sentences;
use crate::waking::Words;
use crate::{
    Choice, Controls, Look, Wish, balance, candle, controls, figures_line, groups, hint, knob_marking,
    pencil_list, rest_answers, song_head, strip,
};

/// Under what is lit while the rest is dimmed, in points.
const LIT_MARGIN: f32 = 8.0;

/// What there is to draw in a frame.
pub(crate) struct Picture<'a> {
    pub(crate) view: &'a View,
    pub(crate) choice: &'a Choice,
    pub(crate) controls: &'a Controls,
    pub(crate) look: Look,
    pub(crate) kit: Kit,
    /// How bright it is, 0 to 1.
    pub(crate) bright_share: f64,
}

impl Picture<'_> {
    /// What is lit while the rest is dimmed is drawn with this: on a ground that does not glare.
    fn lit_kit(&self) -> Kit {
        Kit { colours: self.look.palette.lit_while_dimmed(self.bright_share), ..self.kit }
    }

    /// The hint on top, where there is one; gives what it leaves of the window.
    pub(crate) fn hint(&self, ui: &mut Ui, window: Rect, wishes: &mut Vec<Wish>) -> Rect {
        let Some(hint) = hint::of(&self.kit.pen(ui), self.look, window) else { return window };
        let under = window.with_min_y(window.top() + hint.height);
        if hint.show(ui, window.with_max_y(under.top()), self.kit) {
            wishes.push(Wish::Look(Look { hint_seen: true, ..self.look }));
        }
        under
    }

    /// Everything.
    pub(crate) fn near(&self, ui: &mut Ui, window: Rect, wishes: &mut Vec<Wish>) {
        let Self { view, choice, controls, look, kit, bright_share } = *self;
        let lit_kit = self.lit_kit();
        // Something said is wrong with the sound, not with the mix: it stays as bright as it is.
        let tells_a_fault = self.fault().is_some();
        let width = Rooms::sentence_width(window);
        let words = (bright_share < 1.0).then(|| {
            let beside = width - rest_answers::width(&view.candle);
            Words::of(&lit_kit.pen(ui), view, None, pen::WAKING, beside)
        });
        let words_height = words.as_ref().map_or(0.0, |words| words.height);
        let most = Rooms::most_sentences_height(window) - words_height;
        let sentences_kit = if tells_a_fault { lit_kit } else { kit };
        let sentences = Sentences::of(&sentences_kit.pen(ui), view, choice, [width, most]);
        let rooms = Rooms::of(window, words_height + sentences.height());
        let all_lit = rooms.sentences.bottom() + LIT_MARGIN;
        let lit_to = if tells_a_fault { all_lit } else { window.top() + LIT_MARGIN + words_height };
        if bright_share < 1.0 {
            let pen = lit_kit.pen(ui);
            pen.fill(window.with_max_x(rooms.candle.right()), pen.colours.background);
            pen.fill(window.with_max_y(lit_to), pen.colours.background);
        }

        wishes.extend(song_head::show(ui, kit, rooms.candle, view, choice));
        let said = rooms.sentences.with_min_y(rooms.sentences.top() + words_height);
        let remark = sentences.pointed(ui, said, kit);
        let answered = sentences.answered(ui, said, sentences_kit).and_then(|index| view.remarks.get(index));
        wishes.extend(answered.map(|remark| Wish::Mean(remark.id.clone())));
        let mut lit = Lit::by(remark.and_then(|index| view.remarks.get(index)));
        let mut pointed = Pointed::default();
        if view.trouble.is_none() {
            if knob_marking::is_open(ui) {
                wishes.extend(knob_marking::show(ui, kit, rooms.balance, controls));
            } else if pencil_list::is_open(ui) {
                lit.mark = pencil_list::show(ui, kit, rooms.balance, view, wishes);
            } else {
                let answer = balance::draw(ui, rooms.balance, view, choice, kit, lit, look);
                wishes.extend(answer.wish);
                pointed.band_hz = answer.band_hz;
            }
            if let Some(room) = rooms.strip {
                pointed.song_s = strip::draw(ui, room, view, kit, lit);
            }
            if let Some(room) = rooms.figures {
                wishes.extend(groups::draw(ui, kit, room, view, controls.paused));
            }
            if let Some(room) = rooms.figures_line {
                figures_line::draw(ui, kit, room, view);
            }
            wishes.extend(controls::show_sound(ui, kit, rooms.controls, controls, view, bright_share));
        } else if controls.hearing.is_some() {
            // The buttons that would end it are not there.
            wishes.push(Wish::LetGo);
        }
        let of_pass = view.trouble.is_none().then_some(controls);
        wishes.extend(controls::show_picture(ui, kit, rooms.controls, of_pass, look, choice.meant));

        let spoken_of = |index: usize| {
            remark == Some(index)
                || view.remarks.get(index).is_some_and(|remark| pointed.is_spoken_of_by(remark))
        };
        let pen = sentences_kit.pen(ui);
        if !tells_a_fault {
            sentences.draw(&pen, said, spoken_of);
        }
        veil(&pen, window.with_min_x(rooms.candle.right()).with_min_y(lit_to), bright_share);
        // What the candle has to say, and what is wrong, is not dimmed with the rest.
        candle::draw(ui, lit_kit, rooms.candle, &view.candle);
        song_head::draw(ui, lit_kit, rooms.candle, view);
        if let Some(words) = words {
            words.draw(ui, lit_kit, rooms.sentences);
        }
        if tells_a_fault {
            sentences.draw(&pen, said, spoken_of);
        }
    }

    /// The answers to a rest that is due, beside its words in the dimmed picture.
    pub(crate) fn answers(&self, ui: &mut Ui, window: Rect) -> Option<Wish> {
        let room = Rooms::of(window, 0.0).sentences;
        rest_answers::show(ui, self.lit_kit(), room, &self.view.candle)
    }

    /// What matters, to be read from across the room. A click anywhere brings everything back.
    pub(crate) fn far(&self, ui: &mut Ui, window: Rect, wishes: &mut Vec<Wish>) {
        let Self { view, choice, controls, look, kit, bright_share } = *self;
        let lit_kit = self.lit_kit();
        let words = "Back to the near view";
        let back = kit.interact(ui, window, "the far view", Sense::click(), Role::Button, words);
        let far = Far::of(window);
        let also = self.fault().map(|words| far::first_sentence(words).to_owned());
        let words = (bright_share < 1.0).then(|| far.words(&lit_kit.pen(ui), view, also));
        let said = far::said_in(&kit.pen(ui), far, view, choice, words.as_ref());
        let lit_from = said.place.top() - far.long(6.0);
        if bright_share < 1.0 {
            let pen = lit_kit.pen(ui);
            pen.fill(window.with_max_x(far.candle().right()), pen.colours.background);
            pen.fill(window.with_min_y(lit_from), pen.colours.background);
        }
        let place = said.place;
        far::draw(ui, kit, far, view, said);
        let corner = window.shrink2(egui::vec2(18.0, 8.0));
        wishes.extend(controls::show_picture(ui, kit, corner, None, look, choice.meant));
        let dark = window.with_min_x(far.candle().right()).with_max_y(lit_from);
        veil(&kit.pen(ui), dark, bright_share);
        far::draw_candle(ui, lit_kit, far, view);
        if let Some(words) = words {
            words.draw(ui, lit_kit, place);
        }
        if back.clicked() {
            wishes.push(Wish::Look(Look { far: false, ..look }));
        }
        // What is held is held by a button, and here there is none.
        if controls.hearing.is_some_and(|hearing| hearing.left_s.is_none()) {
            wishes.push(Wish::LetGo);
        }
    }

    /// What is wrong with the sound, in words.
    fn fault(&self) -> Option<&str> {
        let of_sound = |id: &str| matches!(id, "clipped-runs" | "true-peak-overs" | "dc");
        let mut remarks = self.view.remarks.iter();
        let mut remark = || remarks.find(|remark| remark.urgency == Urgency::Broken || of_sound(&remark.id));
        let trouble = self.view.trouble.as_ref().or(self.choice.trouble.as_ref());
        trouble.or_else(|| Some(&remark()?.text)).map(String::as_str)
    }
}

fn veil(pen: &Pen, place: Rect, bright_share: f64) {
    if bright_share < 1.0 {
        let dark = ((1.0 - bright_share.clamp(0.0, 1.0)) * 255.0).round() as u8;
        pen.fill(place, Color32::from_black_alpha(dark));
    }
}
