//! The editor as the framework wants it: the adapter's own, opened as the project has kept it, with an audition that ends
//! with the window.

use std::cell::RefCell;
use std::error::Error;
use std::sync::Arc;
use std::time::Duration;

use nice_plug::context::gui::GuiContext;
use nice_plug::editor::dpi::NativeSize;
use nice_plug::editor::{Editor, EditorHandle, HostMethods, ParentWindowHandle, ResizeHint, SpawnedEditor};
use nice_plug_egui::baseview;
use nice_plug_egui::{
    EguiEditor, EguiEditorHandle, EguiEditorState, EguiNiceSettings, RepaintNotifier, create_egui_editor,
};

use crate::asking::Asking;
use crate::framework::Settings;
use crate::instance::Instance;
use crate::window::Window;

/// The adapter's own timer asks for the first frame, and when that comes before the host has shown the window, X11's
/// answer is lost, and no frame is ever drawn. Being shown asks for it too, and from then on what is new does.
const NEVER: Duration = Duration::from_secs(1 << 30);

/// An instance's editor, whether it is open or not.
///
/// The adapter's editor can't be told another size or zoom than it was made with, so that one is made for each opening.
pub struct MeterEditor {
    instance: Instance,
    asking: Asking,
    /// Of the last opening: it knows the screen's scale.
    state: RefCell<Arc<EguiEditorState>>,
}

impl MeterEditor {
    pub(crate) fn new(instance: Instance) -> Self {
        let frames = instance.frames.clone();
        instance.seat.tell(Some(Arc::new(move || frames.ask())));
        let size = instance.settings.look.get().size;
        Self { instance, asking: Asking::default(), state: EguiEditorState::from_size(size, 1.0).into() }
    }

    /// The adapter's editor as it is to open now, and the number of the opening.
    fn as_kept(&self) -> Option<(EguiEditor<Window>, u64)> {
        let shape = self.instance.settings.look.get();
        let state = EguiEditorState::from_size(shape.size, shape.look.zoom_factor());
        *self.state.borrow_mut() = Arc::clone(&state);
        let settings = EguiNiceSettings::new()
            .with_tile("Candlemark")
            .with_repaint_poll_interval(NEVER)
            .with_resize_hint(self.resize_hint());
        let opening = self.instance.frames.open();
        let number = opening.number;
        let window = Window::new(self.instance.clone(), opening, self.asking.clone());
        create_egui_editor(state, RepaintNotifier::new(), settings, window).map(|egui| (egui, number))
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
        let (egui, opening) = self.as_kept().ok_or("the editor can't be made")?;
        let SpawnedEditor { handle, window } =
            egui.spawn(parent, wait_for_parent, fallback_scale_factor, context, host)?;
        let handle = MeterEditorHandle { egui: handle, instance: self.instance.clone(), opening };
        Ok(SpawnedEditor { handle, window })
    }

    fn size(&self) -> NativeSize<u32> {
        let state = self.state.borrow();
        let scale = f64::from(state.physical_size().width) / f64::from(state.logical_size().width);
        NativeSize::from_size(self.instance.settings.look.get().zoomed().into(), scale)
    }

    fn resize_hint(&self) -> ResizeHint {
        hint(&self.instance.settings)
    }
}

/// The window may have any size from the smallest on, which grows with the zoom.
fn hint(settings: &Settings) -> ResizeHint {
    ResizeHint::resizable().with_min_logical_size(settings.look.get().smallest())
}

/// An editor that is open. An audition lets go when it is closed or hidden, at once and not only when its heartbeat is
/// missed.
pub struct MeterEditorHandle {
    egui: EguiEditorHandle,
    instance: Instance,
    /// Which opening it is.
    opening: u64,
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
        self.instance.frames.hide(false);
        self.egui.show(window)
    }

    fn hide(&self, window: &Self::Window) -> Result<(), Self::Error> {
        self.instance.orders.let_go();
        self.instance.frames.hide(true);
        self.egui.hide(window)
    }

    fn set_size(&self, size: NativeSize<u32>, window: &Self::Window) -> Result<(), Self::Error> {
        self.egui.set_size(size, window)
    }

    fn host_main_thread_callback(&self, window: &Self::Window) {
        self.egui.host_main_thread_callback(window);
    }

    fn adjust_size(&self, size: NativeSize<u32>, window: &Self::Window) -> Option<NativeSize<u32>> {
        let now = window.size();
        let current = NativeSize::from_logical_or_physical(now.logical, now.physical);
        Some(hint(&self.instance.settings).adjust_size(size, current, now.scale_factor))
    }

    fn set_fallback_scale_factor(&self, factor: f64, window: &Self::Window) -> Result<(), Self::Error> {
        self.egui.set_fallback_scale_factor(factor, window)
    }

    fn state_changed(&self) {
        self.egui.state_changed();
        self.instance.frames.ask();
    }

    fn param_value_changed(&self, id: &str, normalized_value: f32) {
        self.egui.param_value_changed(id, normalized_value);
        self.instance.frames.ask();
    }

    fn param_modulation_changed(&self, id: &str, modulation_offset: f32) {
        self.egui.param_modulation_changed(id, modulation_offset);
    }
}

impl Drop for MeterEditorHandle {
    fn drop(&mut self) {
        self.instance.frames.close(self.opening);
        self.instance.orders.let_go();
    }
}
