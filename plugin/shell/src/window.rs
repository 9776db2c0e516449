//! The editor's window: draws what the clerk shows, and hands on what the person wants.

use std::time::{Duration, Instant};

use candlemark_clerk::{Keeper, Order};
use candlemark_editor::{Choice, Controls, Hear, Hearing, Look, Own, Wish};
use candlemark_handoff::{Audition, LONGEST_S, Oddity};
use candlemark_session::candle::Times;
use candlemark_session::remarks::Stage;
use nice_plug::context::gui::GuiContext;
use nice_plug::prelude::Param;
use nice_plug_egui::baseview::{HandlerError, WindowSize};
use nice_plug_egui::{Frame, Key, KeyCapture, NiceEguiApp};

use crate::asking::Asking;
use crate::frames::Opening;
use crate::framework::{Settings, set_here};
use crate::instance::Instance;

/// While an audition is asked for: its heartbeat must not be late.
const REPAINT_HEARING: Duration = Duration::from_millis(30);

/// One instance's editor, whether it is open or not.
pub(crate) struct Window {
    instance: Instance,
    opening: Opening,
    context: Option<GuiContext>,
    /// The audition that the person asks for.
    asked: Option<Asked>,
    /// Files are asked for.
    asking: Asking,
    /// A person writes in a field, where words have spaces.
    writes: bool,
}

/// The host starts and stops the song with the space bar, whatever has the focus here.
fn all_but_the_space_bar() -> KeyCapture {
    KeyCapture::IgnoreKeys(vec![Key::Character(" ".into())])
}

/// An audition that was asked for.
#[derive(Clone, Copy)]
struct Asked {
    what: Hear,
    latched: bool,
    at: Instant,
}

impl Asked {
    fn left_s(&self) -> Option<f64> {
        self.latched.then(|| (LONGEST_S - self.at.elapsed().as_secs_f64()).max(0.0))
    }
}

impl NiceEguiApp for Window {
    fn build(
        &mut self,
        egui: egui::Context,
        context: GuiContext,
        frame: &mut Frame,
    ) -> Result<(), HandlerError> {
        // Zoom is a setting, in steps.
        egui.options_mut(|options| options.zoom_with_keyboard = false);
        self.writes = false;
        frame.set_key_capture(all_but_the_space_bar());
        self.context = Some(context);
        self.asked = None;
        // A yardstick may have been taken since the editor was open last.
        self.instance.seat.order(Order::LookAtShelf);
        Ok(())
    }

    fn ui(&mut self, ui: &mut egui::Ui, frame: &mut Frame) {
        self.instance.orders.beat();
        let writes = ui.ctx().text_edit_focused();
        if writes != self.writes {
            self.writes = writes;
            frame.set_key_capture(if writes { KeyCapture::CaptureAll } else { all_but_the_space_bar() });
        }
        let has_a_hand = has_a_hand(ui);
        if has_a_hand {
            self.instance.seat.work();
        }
        let shown = self.instance.seat.shown();
        let mut view = shown.view.clone();
        view.trouble = self.trouble().or(view.trouble);
        let choice = Choice {
            names: shown.shelf.to_vec(),
            in_use: shown.in_use.clone(),
            trouble: shown.trouble.clone().or_else(|| self.newer_state()),
            taking: shown.taking.clone(),
            meant: shown.meant.len(),
            songs: shown.songs.to_vec(),
            song: shown.song.clone(),
        };
        let controls = self.controls(shown.match_db, view.candle.times());
        let look = self.instance.settings.look.get().look;
        let draw = |ui: &mut egui::Ui| candlemark_editor::show(ui, &view, &choice, &controls, look);
        let wishes = egui::Frame::NONE.show(ui, draw).inner;
        let has_wished = !wishes.is_empty();
        for wish in wishes {
            self.grant(wish);
        }
        let Settings { untold, changed, .. } = &*self.instance.settings;
        // Not while the window opens or closes, when a parameter that changes may find the framework at work on it.
        if has_a_hand && let Some(number) = untold.tell(changed.value()) {
            self.set(changed, number);
        }
        // A project may have been loaded meanwhile, with another zoom.
        let zoom = self.instance.settings.look.get().look.zoom_factor();
        if ui.ctx().zoom_factor() != zoom {
            ui.ctx().set_zoom_factor(zoom);
        }
        self.opening.painted(ui.ctx());
        if has_wished {
            ui.ctx().request_repaint();
        } else if self.asked.is_some() {
            ui.ctx().request_repaint_after(REPAINT_HEARING);
        }
    }

    /// The size comes in points of the window's zoom.
    fn resized(&mut self, size: WindowSize) {
        self.instance.settings.look.set_size(size.logical.cast());
    }
}

impl Window {
    pub(crate) fn new(instance: Instance, opening: Opening, asking: Asking) -> Self {
        Self { instance, opening, asking, context: None, asked: None, writes: false }
    }

    fn controls(&mut self, match_db: Option<f64>, times: Times) -> Controls {
        if self.asked.is_some_and(|asked| asked.left_s() == Some(0.0)) {
            self.asked = None;
        }
        let hearing = self.asked.map(|asked| Hearing {
            what: asked.what,
            sounds: self.instance.orders.sounding() == audition(asked.what),
            match_db,
            left_s: asked.left_s(),
        });
        let told = self.instance.settings.told();
        Controls {
            stereo: self.instance.tape.activation().is_some_and(|activation| activation.is_stereo()),
            hearing,
            aside_told: self.instance.settings.aside.value(),
            paused: self.instance.orders.is_paused(),
            own: Own {
                knob: told.knob,
                headphones: told.headphones,
                meant_dba: self.instance.settings.meant_level.value(),
                times,
                hand_s: self.instance.settings.hand.value(),
            },
        }
    }

    fn grant(&mut self, wish: Wish) {
        let Instance { seat, settings, orders, .. } = &self.instance;
        match wish {
            Wish::Use(name) => _ = seat.order(Order::Use(name)),
            Wish::Take(name) => self.asking.for_records(seat, name),
            Wish::TakeFromInput { name, add } => _ = seat.order(Order::TakeFromInput { name, add }),
            Wish::FinishInput => _ = seat.order(Order::FinishInput),
            Wish::StopTaking => _ = seat.order(Order::StopTaking),
            Wish::UseNone => _ = seat.order(Order::UseNone),
            Wish::KeepAside => _ = seat.order(Order::KeepAside),
            Wish::Hold(what) => {
                orders.hold(audition(what));
                self.asked = Some(Asked { what, latched: false, at: Instant::now() });
            }
            Wish::Latch(what) => {
                orders.latch(audition(what));
                self.asked = Some(Asked { what, latched: true, at: Instant::now() });
            }
            Wish::LetGo => {
                orders.let_go();
                self.asked = None;
            }
            Wish::TellAside(aside) => self.set(&settings.aside, aside),
            Wish::TurnKnob(knob) => self.set(&settings.knob, knob as i32),
            Wish::MeanLevel(dba) => self.set(&settings.meant_level, dba),
            Wish::Plan(times) => {
                // The song may have had others than this project's: then they are new to it alone.
                _ = seat.order(Order::Plan(times));
                let Times { budget_s, rest_every_s, rest_for_s } = times;
                let Settings { song_time, rest_every, rest_for, .. } = &**settings;
                let mut is_told = false;
                for (parameter, seconds) in
                    [(song_time, budget_s), (rest_every, rest_every_s), (rest_for, rest_for_s)]
                {
                    let minutes = (seconds / 60.0).round() as i32;
                    if parameter.value() != minutes {
                        self.set(parameter, minutes);
                        is_told = true;
                    }
                }
                if !is_told {
                    settings.untold.note();
                }
            }
            Wish::HandLate(seconds) => self.set(&settings.hand, seconds),
            Wish::Do(stage) => self.set(&settings.printing, stage == Stage::Printing),
            Wish::Headphones(headphones) => self.set(&settings.headphones, headphones),
            Wish::ResetPass => orders.reset_pass(),
            Wish::Pause(paused) => orders.pause(paused),
            Wish::Mean(remark) => _ = seat.order(Order::Mean(remark)),
            Wish::MeanNothing => {
                for meant in &seat.shown().meant {
                    _ = seat.order(Order::NoLongerMean(meant.id.clone()));
                }
            }
            Wish::Look(look) => {
                // The hint leaves by itself too, which is nothing to be asked about when a project is closed.
                let before = settings.look.get().look;
                if (Look { hint_seen: before.hint_seen, ..look }) != before {
                    settings.untold.note();
                }
                settings.look.set_look(look);
            }
            Wish::RestNow => _ = seat.order(Order::RestNow),
            Wish::PutRestOff => _ = seat.order(Order::PutRestOff),
            Wish::LightsOut(out) => _ = seat.order(Order::LightsOut(out)),
            Wish::Mark => _ = seat.order(Order::Mark),
            Wish::Write(mark) => _ = seat.order(Order::Write(mark)),
            Wish::NameSong(name) => _ = seat.order(Order::NameSong(name)),
            Wish::NewSong => _ = seat.order(Order::NewSong),
            Wish::OpenSong(id) => _ = seat.order(Order::OpenSong(id)),
            Wish::MarkMonitor(knob, dba) => _ = seat.order(Order::MarkMonitor(knob, dba)),
            Wish::PrintSheet => {
                self.asking.for_sheet(seat, seat.shown().view.song_name.as_deref());
            }
            Wish::ConfirmMonitor => _ = seat.order(Order::ConfirmMonitor),
        }
    }

    /// Sets a parameter, and tells the host. In VST3 the framework leaves it to the host to hand it back with the next block, and
    /// there are hosts that know nothing of a parameter that is not to be automated, and never do.
    fn set<P: Param<Plain: Copy>>(&self, parameter: &P, value: P::Plain) {
        set_here(parameter, value);
        if let Some(context) = &self.context {
            let setter = context.param_setter();
            setter.begin_set_parameter(parameter);
            setter.set_parameter(parameter, value);
            setter.end_set_parameter(parameter);
        }
    }

    fn trouble(&self) -> Option<String> {
        let activation = self.instance.tape.activation().filter(|activation| !activation.is_measured())?;
        Some(format!(
            "Nothing is measured at {} Hz: choose a sample rate between 8 and 384 kHz. The sound passes as it is.",
            activation.sample_rate.0
        ))
    }

    fn newer_state(&self) -> Option<String> {
        let newer = self.instance.tape.oddities().of(Oddity::NewerState) > 0;
        newer.then(|| {
            "This project was saved by a newer Candlemark. Saved here, it loses what this one does not know: keep a \
             copy, or update this one."
                .into()
        })
    }
}

/// Whether a hand is in the window: the pointer moves in it, or something is pressed.
fn has_a_hand(ui: &egui::Ui) -> bool {
    ui.input(|input| {
        input.events.iter().any(|event| {
            use egui::Event::{Key, MouseWheel, PointerButton, PointerMoved, Text, Touch};
            matches!(
                event,
                Key { .. }
                    | MouseWheel { .. }
                    | PointerButton { .. }
                    | PointerMoved(_)
                    | Text(_)
                    | Touch { .. }
            )
        })
    })
}

/// What the audio thread calls it.
fn audition(what: Hear) -> Audition {
    match what {
        Hear::Mono => Audition::MonoBoth,
        Hear::MonoLeftSpeaker => Audition::MonoLeftSpeaker,
        Hear::MonoRightSpeaker => Audition::MonoRightSpeaker,
        Hear::Left => Audition::Left,
        Hear::Right => Audition::Right,
        Hear::Difference => Audition::Difference,
        Hear::NoiseLeft => Audition::NoiseLeftSpeaker,
        Hear::NoiseRight => Audition::NoiseRightSpeaker,
    }
}
