//! The lights are out: the window is black but for an ember, and all that a hand can do is mark, or end it.

use candlemark_session::lights_out::Dark;
use egui::{Color32, Event, Id, Key, PointerButton, Rect, Ui};

use crate::Wish;
use crate::controls::Controls;
use crate::palette::Palette;
use crate::pen::{self, Kit};
use crate::waking::FADE_FRAME;

/// How long what can be done is written, in seconds (ours): it is read twice.
pub(crate) const WORDS_S: f64 = 9.0;
/// How long it takes to fade after that, in seconds (ours).
const FADE_S: f64 = 2.0;
/// How long the ember answers a mark, in seconds (ours).
const GLOW_S: f64 = 0.5;
const EMBER: f32 = 2.5;

const WORDS: [&str; 2] = [
    "Dark until playback ends. Click or press M to mark, Esc to end it. Switch off the screen beside it too.",
    "Click or press M to mark, Esc to end it.",
];

/// Since when it is dark, and when a mark was made last, in seconds of the window's own clock.
#[derive(Clone, Copy, Debug)]
struct Since {
    dark_s: f64,
    marked_s: Option<f64>,
}

fn memory() -> Id {
    Id::unique("since when the lights are out")
}

/// The lights are on.
pub(crate) fn forget(ui: &Ui) {
    ui.data_mut(|data| data.remove::<Since>(memory()));
}

/// What a hand has asked for.
fn asked(events: &[Event]) -> Vec<Wish> {
    let wish = |event: &Event| match event {
        Event::PointerButton { pressed: true, button: PointerButton::Primary, .. }
        | Event::Key { key: Key::M, pressed: true, repeat: false, .. } => Some(Wish::Mark),
        Event::Key { key: Key::Escape, pressed: true, .. } => Some(Wish::LightsOut(false)),
        _ => None,
    };
    events.iter().filter_map(wish).collect()
}

/// Draws it, and gives what is asked for. A press marks at once, wherever it is.
pub(crate) fn show(ui: &Ui, kit: Kit, whole: Rect, dark: &Dark, controls: &Controls) -> Vec<Wish> {
    let (now_s, mut wishes) = ui.input(|input| (input.time, asked(&input.events)));
    let mut since =
        ui.data_mut(|data| *data.get_temp_mut_or(memory(), Since { dark_s: now_s, marked_s: None }));
    if wishes.contains(&Wish::Mark) {
        since.marked_s = Some(now_s);
        ui.data_mut(|data| data.insert_temp(memory(), since));
    }
    // One listens to the song, to nothing else.
    if controls.hearing.is_some() {
        wishes.push(Wish::LetGo);
    }

    let colours = Palette::Lamp.colours();
    let pen = Kit { colours, ..kit }.pen(ui);
    let window = whole / kit.grow;
    pen.fill(window, Color32::BLACK);
    let glow =
        since.marked_s.map_or(0.0, |marked_s| 1.0 - ((now_s - marked_s) / GLOW_S).clamp(0.0, 1.0)) as f32;
    let ember = window.center_bottom() - egui::vec2(0.0, 40.0);
    pen.disc(ember, EMBER * (1.0 + glow), colours.accent.gamma_multiply(0.55 + 0.45 * glow));

    let left = (1.0 - (now_s - since.dark_s - WORDS_S) / FADE_S).clamp(0.0, 1.0) as f32;
    let words = WORDS.map(str::to_owned);
    if let Some(words) =
        pen.first_that_fits(&words, pen::SENTENCE, window.width() - 24.0).filter(|_| left > 0.0)
    {
        pen.text_within(window, words, pen::SENTENCE, colours.note.gamma_multiply(left));
        ui.ctx().request_repaint_after(FADE_FRAME);
    }
    if glow > 0.0 {
        ui.ctx().request_repaint_after(FADE_FRAME);
    }
    let marks = match dark.marks {
        0 => "no mark yet".into(),
        1 => "one mark".into(),
        marks => format!("{marks} marks"),
    };
    kit.label(ui, window, Id::unique("the dark"), &format!("Lights out, {marks}. {}", WORDS[0]));
    wishes
}
