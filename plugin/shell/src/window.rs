//! The editor's window: feeds a Desk from the tape and has its View drawn.

use std::sync::Arc;
use std::time::{Duration, Instant};

use candlemark_editor::{Choice, Wish};
use candlemark_files::Shelf;
use candlemark_handoff::TapeReader;
use candlemark_session::view::View;
use nice_plug::context::gui::GuiContext;
use nice_plug::editor::dpi::LogicalSize;
use nice_plug_egui::baseview::HandlerError;
use nice_plug_egui::{
    EguiEditor, EguiEditorState, EguiNiceSettings, Frame, NiceEguiApp, RepaintNotifier, create_egui_editor,
};

use crate::framework::Settings;
use crate::song::Song;

const SIZE: LogicalSize<f32> = LogicalSize { width: 460.0, height: 680.0 };
/// As often as readings come.
const REPAINT: Duration = Duration::from_millis(100);

/// Makes the editor.
pub(crate) fn editor(tape: &TapeReader, settings: Arc<Settings>) -> Option<EguiEditor<Window>> {
    let window = Window {
        song: Song::new(tape),
        tape: tape.clone(),
        settings,
        choice: Choice::default(),
        began: Instant::now(),
    };
    create_egui_editor(
        EguiEditorState::from_size(SIZE, 1.0),
        RepaintNotifier::new(),
        EguiNiceSettings::new().with_tile("Candlemark"),
        window,
    )
}

/// One instance's editor, whether it is open or not.
pub(crate) struct Window {
    tape: TapeReader,
    song: Song,
    settings: Arc<Settings>,
    choice: Choice,
    began: Instant,
}

impl NiceEguiApp for Window {
    fn build(&mut self, _: egui::Context, _: GuiContext, _: &mut Frame) -> Result<(), HandlerError> {
        let listed = Shelf::of_user().and_then(|shelf| shelf.list());
        self.choice = match listed {
            Ok(entries) => Choice {
                names: entries
                    .into_iter()
                    .filter(|entry| entry.yardstick.is_ok())
                    .map(|entry| entry.name)
                    .collect(),
                ..Choice::default()
            },
            Err(error) => Choice { trouble: Some(error.to_string()), ..Choice::default() },
        };
        Ok(())
    }

    fn ui(&mut self, ui: &mut egui::Ui, _: &mut Frame) {
        ui.ctx().request_repaint_after(REPAINT);
        self.song.catch_up(&self.tape);
        let yardstick = self.settings.yardstick.get();
        self.choice.in_use = yardstick.as_ref().map(|yardstick| yardstick.name.clone());
        let session_s = self.began.elapsed().as_secs_f64();
        let mut view = View::of(self.song.desk(), self.song.figures(), yardstick.as_deref(), session_s);
        view.trouble = self.trouble();
        let wish = egui::Frame::central_panel(ui.style())
            .show(ui, |ui| candlemark_editor::show(ui, &view, &self.choice))
            .inner;
        if let Some(wish) = wish {
            self.grant(&wish);
        }
    }
}

impl Window {
    fn trouble(&self) -> Option<String> {
        let activation = self.tape.activation().filter(|activation| !activation.measured)?;
        Some(format!(
            "Nothing is measured at {} Hz: choose a sample rate between 8 and 384 kHz. The sound passes as it is.",
            activation.sample_rate.0
        ))
    }

    fn grant(&mut self, wish: &Wish) {
        self.choice.trouble = match wish {
            Wish::UseNone => {
                self.settings.yardstick.put_away();
                None
            }
            Wish::Use(name) => match Shelf::of_user().and_then(|shelf| shelf.load(name)) {
                Ok(yardstick) => {
                    self.settings.yardstick.take_into_use(yardstick);
                    None
                }
                Err(error) => Some(error.to_string()),
            },
        };
    }
}
