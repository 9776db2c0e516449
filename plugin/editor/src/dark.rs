//! The lights are out: the window is black but for an ember, and all that a hand can do is mark, or end it.

use std::time::Duration;

use candlemark_session::lights_out::Dark;
use egui::{Align, Color32, Event, Id, Key, PointerButton, Pos2, Rect, Role, Sense, Ui, pos2, vec2};

use crate::Wish;
use crate::controls::Controls;
use crate::frame_pace::BETWEEN_FRAMES;
use crate::palette::Palette;
use crate::pen::{self, Kit};

/// How long what can be done is written, in seconds (ours): it is read twice.
pub(crate) const WORDS_S: f64 = 9.0;
/// How long it takes to fade after that, in seconds (ours).
const FADE_S: f64 = 2.0;
/// How long the ember answers a mark, in seconds (ours).
const GLOW_S: f64 = 0.5;
const EMBER: f32 = 2.5;
/// A pointer so near to the ember asks for a way out, in points (ours).
const NEAR: f32 = 24.0;
/// When it has rested there for so long, in seconds (ours): one that passes by asks for nothing.
const RESTS_S: f64 = 1.0;
/// The way out stays for so long after that, in seconds (ours).
const WAY_OUT_S: f64 = 6.0;
/// The way out, in the lower right corner: some hosts keep Esc for themselves.
const WAY_OUT: egui::Vec2 = vec2(64.0, 32.0);

const WORDS: [&str; 3] = [
    "Dark until playback ends. Click or press M to mark. Esc brings the light back; or rest the pointer on the ember below.",
    "Click or press M to mark. Esc brings the light back, or rest on the ember.",
    "Click or M: mark. Esc, or a rest on the ember: light.",
];

/// Since when it is dark, and when a mark was made last, in seconds of the window's own clock.
#[derive(Clone, Copy, Debug)]
struct Since {
    dark_s: f64,
    marked_s: Option<f64>,
    /// Marks there were when this was looked at last: one may be made with a controller.
    marks: usize,
    /// Since when the pointer rests near the ember.
    near_s: Option<f64>,
    /// When it had rested there for long enough.
    rested_s: Option<f64>,
}

impl Since {
    /// Takes where the pointer is in this frame.
    fn point(&mut self, is_near: bool, now_s: f64) {
        self.near_s = is_near.then(|| self.near_s.unwrap_or(now_s));
        if self.near_s.is_some_and(|near_s| now_s - near_s >= RESTS_S) {
            self.rested_s = Some(now_s);
        }
    }

    /// How long until something of the way out changes, and whether it is there.
    fn way_out(&self, now_s: f64) -> (Option<f64>, bool) {
        let left_s =
            self.rested_s.map(|rested_s| rested_s + WAY_OUT_S - now_s).filter(|left_s| *left_s > 0.0);
        let to_wait_s = self.near_s.map(|near_s| near_s + RESTS_S - now_s).filter(|wait_s| *wait_s > 0.0);
        (to_wait_s.or(left_s), left_s.is_some())
    }
}

fn memory() -> Id {
    Id::unique("since when the lights are out")
}

/// The lights are on.
pub(crate) fn forget(ui: &Ui) {
    ui.data_mut(|data| data.remove::<Since>(memory()));
}

/// What a hand has asked for, with a way out at `way_out`, where there is one.
fn asked(events: &[Event], way_out: Option<Rect>) -> Vec<Wish> {
    let ends = |pos: &Pos2| way_out.is_some_and(|place| place.contains(*pos));
    let wish = |event: &Event| match event {
        Event::PointerButton { pressed: true, button: PointerButton::Primary, pos, .. } if ends(pos) => {
            Some(Wish::LightsOut(false))
        }
        // In the dark, whichever button the hand finds.
        Event::PointerButton { pressed: true, .. }
        | Event::Key { key: Key::M, pressed: true, repeat: false, .. } => Some(Wish::Mark),
        Event::Key { key: Key::Escape, pressed: true, .. } => Some(Wish::LightsOut(false)),
        _ => None,
    };
    events.iter().filter_map(wish).collect()
}

/// Draws it, and gives what is asked for. A press marks at once, wherever it is.
pub(crate) fn show(ui: &Ui, kit: Kit, whole: Rect, dark: &Dark, controls: &Controls) -> Vec<Wish> {
    let (now_s, pointer) = ui.input(|input| (input.time, input.pointer.hover_pos()));
    let window = whole / kit.grow;
    let ember = window.center_bottom() - vec2(0.0, 40.0);
    let fresh = Since { dark_s: now_s, marked_s: None, marks: dark.marks, near_s: None, rested_s: None };
    let mut since = ui.data_mut(|data| *data.get_temp_mut_or(memory(), fresh));
    since.point(pointer.is_some_and(|at| kit.designed(at).distance(ember) <= NEAR), now_s);
    let (changes_s, is_there) = since.way_out(now_s);
    let way_out = is_there.then(|| Rect::from_min_max(window.max - WAY_OUT, window.max));
    let mut wishes = ui.input(|input| asked(&input.events, way_out.map(|place| kit.in_window(place))));
    if wishes.contains(&Wish::Mark) || dark.marks > since.marks {
        since.marked_s = Some(now_s);
    }
    since.marks = dark.marks;
    ui.data_mut(|data| data.insert_temp(memory(), since));
    if let Some(seconds) = changes_s {
        ui.ctx().request_repaint_after(Duration::from_secs_f64(seconds).max(BETWEEN_FRAMES));
    }
    // One listens to the song, to nothing else.
    if controls.hearing.is_some() {
        wishes.push(Wish::LetGo);
    }

    let colours = Palette::Lamp.colours();
    let pen = Kit { colours, ..kit }.pen(ui);
    pen.fill(window, Color32::BLACK);
    let glow =
        since.marked_s.map_or(0.0, |marked_s| 1.0 - ((now_s - marked_s) / GLOW_S).clamp(0.0, 1.0)) as f32;
    pen.disc(ember, EMBER * (1.0 + glow), colours.accent.gamma_multiply(0.55 + 0.45 * glow));

    let left = (1.0 - (now_s - since.dark_s - WORDS_S) / FADE_S).clamp(0.0, 1.0) as f32;
    let words = pen.first_that_fits(&WORDS, pen::SENTENCE, window.width() - 24.0).filter(|_| left > 0.0);
    if let Some(words) = words {
        pen.text_within(window, words, pen::SENTENCE, colours.note.gamma_multiply(left));
    }
    if words.is_some() || glow > 0.0 {
        ui.ctx().request_repaint_after(BETWEEN_FRAMES);
    }
    let marks = match dark.marks {
        0 => "no mark yet".into(),
        1 => "one mark".into(),
        marks => format!("{marks} marks"),
    };
    kit.label(ui, window, "the dark", &format!("Lights out, {marks}. {}", WORDS[0]));
    if let Some(place) = way_out {
        let at = pos2(place.right() - 18.0, place.bottom() - 12.0);
        pen.text(at, Align::Max, "end", pen::NOTE, colours.note);
        let words = "End the lights-out pass";
        kit.interact(ui, place, "the way out of the dark", Sense::hover(), Role::Button, words);
    }
    wishes
}
