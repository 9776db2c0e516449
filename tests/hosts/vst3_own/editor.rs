//! An instance's editor in a window of the host's.
#![allow(unsafe_code, reason = "the format's interfaces are unsafe to call")]

use vst3::Steinberg::Linux::IRunLoop;
use vst3::Steinberg::Vst::ViewType::kEditor;
use vst3::Steinberg::Vst::{IEditController, IEditControllerTrait};
use vst3::Steinberg::{
    IPlugFrame, IPlugView, IPlugViewTrait, ViewRect, kPlatformTypeX11EmbedWindowID, kResultOk,
};
use vst3::{ComPtr, ComWrapper};

use crate::run_loop::Frame;

/// An editor that is open.
pub(crate) struct Editor {
    view: ComPtr<IPlugView>,
    frame: ComWrapper<Frame>,
}

impl Editor {
    /// Opens it in the X11 window `parent`.
    pub(crate) fn open(controller: &ComPtr<IEditController>, parent: u32) -> Self {
        let frame = ComWrapper::new(Frame::new());
        assert!(frame.as_com_ref::<IRunLoop>().is_some(), "a frame has the run loop as well");
        let here = frame.as_com_ref::<IPlugFrame>().expect("it is one");
        // SAFETY: the calls come in the format's order, on the main thread, and the window is the caller's to keep. An
        // X11 window is passed as its number in the place of a pointer.
        let view = unsafe {
            let view = ComPtr::from_raw(controller.createView(kEditor)).expect("it has an editor");
            assert_eq!(view.isPlatformTypeSupported(kPlatformTypeX11EmbedWindowID), kResultOk);
            assert_eq!(view.setFrame(here.as_ptr()), kResultOk, "it takes the frame");
            let window = std::ptr::without_provenance_mut(parent as usize);
            assert_eq!(
                view.attached(window, kPlatformTypeX11EmbedWindowID),
                kResultOk,
                "it takes the window"
            );
            view
        };
        Self { view, frame }
    }

    /// Its width and height in pixels.
    pub(crate) fn size(&self) -> [i32; 2] {
        let mut size = ViewRect { left: 0, top: 0, right: 0, bottom: 0 };
        // SAFETY: the view fills the description.
        assert_eq!(unsafe { self.view.getSize(&raw mut size) }, kResultOk);
        [size.right - size.left, size.bottom - size.top]
    }

    /// Does what the editor has asked of the main thread.
    pub(crate) fn serve(&self) {
        self.frame.serve();
    }

    /// Takes it out of the window.
    ///
    /// The framework never takes back what it has registered with the run loop: its handler holds itself, and with it
    /// the frame. So neither is let go, and an open editor costs a process that much memory and two files for good.
    pub(crate) fn close(self) {
        // SAFETY: it is attached, and this is the main thread.
        unsafe {
            assert_eq!(self.view.removed(), kResultOk);
            assert_eq!(self.view.setFrame(std::ptr::null_mut()), kResultOk);
        }
    }
}
