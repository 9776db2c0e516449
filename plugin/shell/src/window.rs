//! The editor's window: draws what the clerk shows, and hands on what the person wants.

use std::sync::Arc;
use std::time::Duration;

use candlemark_clerk::{Order, Seat};
use candlemark_editor::{Choice, Wish};
use candlemark_handoff::TapeReader;
use nice_plug::context::gui::GuiContext;
use nice_plug::editor::dpi::LogicalSize;
use nice_plug_egui::baseview::HandlerError;
use nice_plug_egui::{
    EguiEditor, EguiEditorState, EguiNiceSettings, Frame, NiceEguiApp, RepaintNotifier, create_egui_editor,
};

const SIZE: LogicalSize<f32> = LogicalSize { width: 1084.0, height: 680.0 };
/// As often as the clerk shows something new.
const REPAINT: Duration = Duration::from_millis(100);

/// Makes the editor.
pub(crate) fn editor(tape: &TapeReader, seat: Arc<Seat>) -> Option<EguiEditor<Window>> {
    create_egui_editor(
        EguiEditorState::from_size(SIZE, 1.0),
        RepaintNotifier::new(),
        EguiNiceSettings::new().with_tile("Candlemark"),
        Window { tape: tape.clone(), seat },
    )
}

/// One instance's editor, whether it is open or not.
pub(crate) struct Window {
    tape: TapeReader,
    seat: Arc<Seat>,
}

impl NiceEguiApp for Window {
    fn build(&mut self, _: egui::Context, _: GuiContext, _: &mut Frame) -> Result<(), HandlerError> {
        // A yardstick may have been taken since the editor was open last.
        self.seat.order(Order::LookAtShelf);
        Ok(())
    }

    fn ui(&mut self, ui: &mut egui::Ui, _: &mut Frame) {
        ui.ctx().request_repaint_after(REPAINT);
        let shown = self.seat.shown();
        let mut view = shown.view.clone();
        view.trouble = self.trouble();
        let choice = Choice {
            names: shown.shelf.clone(),
            in_use: shown.in_use.clone(),
            trouble: shown.trouble.clone(),
        };
        let wish = egui::Frame::NONE.show(ui, |ui| candlemark_editor::show(ui, &view, &choice)).inner;
        if let Some(wish) = wish {
            self.seat.order(match wish {
                Wish::Use(name) => Order::Use(name),
                Wish::UseNone => Order::UseNone,
            });
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
}
