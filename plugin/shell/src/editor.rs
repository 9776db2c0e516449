//! The editor as the framework wants it: the adapter's own, with an audition that ends with the window.

use std::error::Error;
use std::sync::Arc;
use std::time::Duration;

use candlemark_clerk::Seat;
use candlemark_handoff::{OrderSender, TapeReader};
use nice_plug::context::gui::GuiContext;
use nice_plug::editor::dpi::{LogicalSize, NativeSize};
use nice_plug::editor::{Editor, EditorHandle, HostMethods, ParentWindowHandle, ResizeHint, SpawnedEditor};
use nice_plug_egui::baseview;
use nice_plug_egui::{
    EguiEditor, EguiEditorHandle, EguiEditorState, EguiNiceSettings, RepaintNotifier, create_egui_editor,
};

use crate::framework::Settings;
use crate::window::Window;

const SIZE: LogicalSize<f32> = LogicalSize { width: 1084.0, height: 680.0 };

/// The adapter's own timer asks for the first frame, and when that comes before the host has shown the window, X11's
/// answer is lost, and no frame is ever drawn. Being shown asks for it too, and each frame asks for the next.
const NEVER: Duration = Duration::from_secs(1 << 30);

/// An instance's editor, whether it is open or not.
pub struct MeterEditor {
    egui: EguiEditor<Window>,
    orders: OrderSender,
}

impl MeterEditor {
    pub(crate) fn new(
        tape: &TapeReader,
        seat: &Arc<Seat>,
        settings: &Arc<Settings>,
        orders: &OrderSender,
    ) -> Option<Self> {
        let egui = create_egui_editor(
            EguiEditorState::from_size(SIZE, 1.0),
            RepaintNotifier::new(),
            EguiNiceSettings::new().with_tile("Candlemark").with_repaint_poll_interval(NEVER),
            Window::new(tape.clone(), Arc::clone(seat), Arc::clone(settings), orders.clone()),
        )?;
        Some(Self { egui, orders: orders.clone() })
    }
}

impl Editor for MeterEditor {
    type Handle = MeterEditorHandle;

    fn spawn(
        &self,
        parent: Option<ParentWindowHandle>,
        wait_for_parent: bool,
        fallback_scale_factor: Option<f64>,
        context: GuiContext,
        host: Option<HostMethods>,
    ) -> Result<SpawnedEditor<MeterEditorHandle>, Box<dyn Error>> {
        let SpawnedEditor { handle, window } =
            self.egui.spawn(parent, wait_for_parent, fallback_scale_factor, context, host)?;
        let handle = MeterEditorHandle { egui: handle, orders: self.orders.clone() };
        Ok(SpawnedEditor { handle, window })
    }

    fn size(&self) -> NativeSize<u32> {
        self.egui.size()
    }

    fn resize_hint(&self) -> ResizeHint {
        self.egui.resize_hint()
    }
}

/// An editor that is open. An audition lets go when it is closed or hidden, at once and not only when its heartbeat is
/// missed.
pub struct MeterEditorHandle {
    egui: EguiEditorHandle,
    orders: OrderSender,
}

impl EditorHandle for MeterEditorHandle {
    type Window = baseview::Window;
    type Error = baseview::Error;

    fn run_until_closed(window: Self::Window) -> Result<(), Self::Error> {
        EguiEditorHandle::run_until_closed(window)
    }

    fn set_parent(&self, parent: ParentWindowHandle, window: &Self::Window) -> Result<(), Self::Error> {
        self.egui.set_parent(parent, window)
    }

    fn show(&self, window: &Self::Window) -> Result<(), Self::Error> {
        self.egui.show(window)
    }

    fn hide(&self, window: &Self::Window) -> Result<(), Self::Error> {
        self.orders.let_go();
        self.egui.hide(window)
    }

    fn set_size(&self, size: NativeSize<u32>, window: &Self::Window) -> Result<(), Self::Error> {
        self.egui.set_size(size, window)
    }

    fn host_main_thread_callback(&self, window: &Self::Window) {
        self.egui.host_main_thread_callback(window);
    }

    fn adjust_size(&self, size: NativeSize<u32>, window: &Self::Window) -> Option<NativeSize<u32>> {
        self.egui.adjust_size(size, window)
    }

    fn set_fallback_scale_factor(&self, factor: f64, window: &Self::Window) -> Result<(), Self::Error> {
        self.egui.set_fallback_scale_factor(factor, window)
    }

    fn state_changed(&self) {
        self.egui.state_changed();
    }

    fn param_value_changed(&self, id: &str, normalized_value: f32) {
        self.egui.param_value_changed(id, normalized_value);
    }

    fn param_modulation_changed(&self, id: &str, modulation_offset: f32) {
        self.egui.param_modulation_changed(id, modulation_offset);
    }
}

impl Drop for MeterEditorHandle {
    fn drop(&mut self) {
        self.orders.let_go();
    }
}
