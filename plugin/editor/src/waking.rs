//! Dimming: the picture fades as the song's time runs out, says why, and is woken by a key or a click.

use std::sync::Arc;
use std::time::Duration;

use candlemark_session::candle::{Candle, Rest};
use candlemark_session::view::View;
use candlemark_session::words::clock;
use egui::{Event, FocusDirection, Galley, Id, InputState, Key, Popup, Rect, Role, Sense, Ui, WidgetInfo};

use crate::frame_pace::BETWEEN_FRAMES;
use crate::pen::{Face, Kit, Pen};
use crate::{Look, candle, rest_answers, text};

/// For how long a key or a click lights the picture, in seconds.
pub(crate) const AWAKE_S: f64 = 300.0;
/// How long it takes to fade again after that, in seconds (ours).
const FADE_S: f64 = 20.0;
/// Under the words.
const AFTER: f32 = 12.0;

/// When the picture was woken last, in seconds of the window's own clock.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Waking {
    woken_s: Option<f64>,
}

impl Waking {
    /// How bright the picture is at a moment, 0 to 1, when the candle asks for `due_share`.
    fn brightness_share(self, due_share: f64, now_s: f64) -> f64 {
        let Some(woken_s) = self.woken_s else { return due_share };
        let faded = ((now_s - woken_s - AWAKE_S) / FADE_S).clamp(0.0, 1.0);
        1.0 + (due_share - 1.0) * faded
    }

    /// How long the picture stays as it is, in seconds; 0 while it fades. `None` when nothing is awaited.
    fn steady_s(self, now_s: f64) -> Option<f64> {
        let since_s = now_s - self.woken_s?;
        (since_s < AWAKE_S + FADE_S).then(|| (AWAKE_S - since_s).max(0.0))
    }
}

/// How bright the picture is in this frame, 0 to 1, after what was pressed. Asks for the next frame of a fade.
pub(crate) fn brightness_share(ui: &Ui, candle: &Candle, look: Look) -> f64 {
    let due_share = candle.brightness_share(look.floor_share());
    let memory = Id::unique("when the picture was woken");
    if due_share >= 1.0 {
        ui.data_mut(|data| data.remove::<Waking>(memory));
        return 1.0;
    }
    let spared = rest_answers::drawn_at(ui);
    let (now_s, pressed) = ui.input(|input| (input.time, wakes(input, spared)));
    let mut waking: Waking = ui.data(|data| data.get_temp(memory)).unwrap_or_default();
    if pressed && waking.brightness_share(due_share, now_s) < 1.0 {
        waking.woken_s = Some(now_s);
        ui.data_mut(|data| data.insert_temp(memory, waking));
        spend_keys(ui);
    }
    if let Some(steady_s) = waking.steady_s(now_s) {
        ui.ctx().request_repaint_after(Duration::from_secs_f64(steady_s).max(BETWEEN_FRAMES));
    }
    waking.brightness_share(due_share, now_s)
}

/// What woke the picture does nothing else: a key that did is gone before anything has seen it.
fn spend_keys(ui: &Ui) {
    ui.input_mut(|input| input.events.retain(|event| !matches!(event, Event::Key { .. } | Event::Text(_))));
    // Tab was taken for a step before this frame began.
    ui.memory_mut(|memory| memory.move_focus(FocusDirection::None));
}

/// Lies over the dimmed picture, so that a click that wakes it reaches nothing else. What had opened is shut.
pub(crate) fn shield(ui: &Ui, whole: Rect) {
    Popup::close_all(ui.ctx());
    let shield = ui.interact(whole, Id::unique("over the dimmed picture"), Sense::click_and_drag());
    shield.widget_info(|| WidgetInfo::labeled(Role::Button, true, "Light the picture"));
}

/// A key, but for the host's, or a click, but for one that answers.
fn wakes(input: &InputState, spared: Option<Rect>) -> bool {
    input.events.iter().any(|event| match event {
        Event::Key { key, pressed, .. } => *pressed && *key != Key::Space,
        // Keys that are no letter are told as text alone.
        Event::Text(text) => !text.trim().is_empty(),
        Event::PointerButton { pressed, pos, .. } => {
            *pressed && !spared.is_some_and(|place| place.contains(*pos))
        }
        _ => false,
    })
}

/// What is said of the dimming, laid out: why, how to wake, and what is wrong all the same.
pub(crate) struct Words {
    why: Arc<Galley>,
    faults: Option<Arc<Galley>>,
    /// Of both together with what lies under them, in points.
    pub(crate) height: f32,
}

impl Words {
    /// The words for a picture that is dimmed. `also` is wrong beside what is counted, and is said nowhere else.
    pub(crate) fn of(pen: &Pen, view: &View, also: Option<String>, face: Face, width: f32) -> Self {
        let why = pen.paragraph(&why(&view.candle), face, pen.colours.ink, width);
        let faults: Vec<String> = also.into_iter().chain(faults(view)).collect();
        let lay_out = |words: String| pen.paragraph(&words, face, pen.colours.accent, width);
        let faults = (!faults.is_empty()).then(|| lay_out(faults.join(" · ")));
        let height = pen.size(&why).y + faults.as_ref().map_or(0.0, |faults| pen.size(faults).y) + AFTER;
        Self { why, faults, height }
    }

    pub(crate) fn draw(self, ui: &Ui, kit: Kit, room: Rect) {
        let pen = kit.pen(ui);
        let place = room.with_max_y(room.top() + self.height);
        let faults = self.faults.iter().flat_map(|faults| [" ", faults.text()]);
        let said: String = std::iter::once(self.why.text()).chain(faults).collect();
        kit.label(ui, place, "why the picture is dimmed", &said);
        let under = room.min + egui::vec2(0.0, pen.size(&self.why).y);
        pen.write(room.min, self.why);
        if let Some(faults) = self.faults {
            pen.write(under, faults);
        }
    }
}

/// How to see what is dimmed.
const LIGHTS: &str = "A key or a click lights the picture for five minutes.";

fn why(candle: &Candle) -> String {
    match candle.rest() {
        Rest::Resting(seconds) => {
            let minutes = candle::minutes(seconds);
            return format!(
                "Resting, {minutes} min to go. Ears come back when nothing plays; playing the song ends the rest."
            );
        }
        // Time that is up comes before a rest.
        Rest::Due(_) if rest_answers::are_asked_for(candle) => {
            let minutes = candle::minutes(candle.times().rest_for_s);
            let worked = text::hours(candle.worked_s());
            return format!("You have worked {worked}. Time for {minutes} min without sound. {LIGHTS}");
        }
        _ => {}
    }
    let budget = text::spoken_hours(candle.budget_s());
    let minutes = candle::minutes(candle.left_s());
    if candle.left_s() == 0.0 {
        let is = if budget.ends_with("hour") { "is" } else { "are" };
        format!("The {budget} {is} up. This is a good place to stop for today. {LIGHTS}")
    } else {
        format!("{minutes} min of {budget} are left, and the picture fades with them. {LIGHTS}")
    }
}

/// What should not be in the song: dimmed or not, it is seen.
fn faults(view: &View) -> Vec<String> {
    let health = &view.song.health;
    let counted = |count: u64, one: &str, more: &str, at_s: Option<f64>| {
        let what = if count == 1 { format!("1 {one}") } else { format!("{count} {more}") };
        let at = at_s.map(|at_s| format!(", from {}", clock(at_s))).unwrap_or_default();
        (count > 0).then(|| format!("{what}{at}"))
    };
    [
        counted(health.overs, "over", "overs", health.over_at_s),
        counted(health.clipped_runs, "clipped run", "clipped runs", health.clipped_at_s),
        counted(
            health.non_finite,
            "sample that is no number",
            "samples that are no numbers",
            health.non_finite_at_s,
        ),
        health.silent_side.map(|_| "one side is silent".to_owned()),
    ]
    .into_iter()
    .flatten()
    .collect()
}

#[cfg(test)]
mod tests {
    use candlemark_session::candle::Times;

    use super::*;

    const FLOOR: f64 = 0.35;

    #[test]
    fn a_woken_picture_is_lit_for_five_minutes_and_then_fades() {
        let waking = Waking { woken_s: Some(100.0) };
        assert_eq!(waking.brightness_share(FLOOR, 100.0), 1.0);
        assert_eq!(waking.brightness_share(FLOOR, 400.0), 1.0);
        let half = waking.brightness_share(FLOOR, 400.0 + FADE_S / 2.0);
        assert!((half - f64::midpoint(1.0, FLOOR)).abs() < 1e-12, "{half}");
        assert_eq!(waking.brightness_share(FLOOR, 400.0 + FADE_S), FLOOR);
        assert_eq!(Waking::default().brightness_share(FLOOR, 1e6), FLOOR);
    }

    #[test]
    fn frames_are_asked_for_only_while_it_fades() {
        let waking = Waking { woken_s: Some(0.0) };
        assert_eq!(waking.steady_s(60.0), Some(240.0));
        assert_eq!(waking.steady_s(310.0), Some(0.0));
        assert_eq!(waking.steady_s(330.0), None);
        assert_eq!(Waking::default().steady_s(0.0), None);
    }

    #[test]
    fn it_says_why_and_how_to_wake_it() {
        let mut candle = Candle::default();
        candle.burn(candle.budget_s());
        assert_eq!(
            why(&candle),
            "The two hours are up. This is a good place to stop for today. A key or a click lights the picture for five minutes."
        );
        let mut candle = Candle::new(3600.0);
        candle.burn(3600.0);
        assert!(why(&candle).starts_with("The hour is up."));
        let without_rests = Times { rest_every_s: f64::INFINITY, ..Times::default() };
        let mut candle = Candle::of(without_rests);
        candle.burn(candle.budget_s() - 300.0);
        assert!(why(&candle).starts_with("5 min of two hours are left"));
        let mut candle = Candle::default();
        candle.burn(3000.0);
        assert!(why(&candle).starts_with("You have worked 50 min. Time for 12 min without sound."));
        candle.rest_now();
        assert!(why(&candle).starts_with("Resting, 12 min to go."));
    }
}
