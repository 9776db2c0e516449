//! What the plugin may call of the host.

use std::sync::atomic::{AtomicBool, Ordering};

use clack_extensions::gui::{GuiSize, HostGui, HostGuiImpl};
use clack_host::prelude::*;

/// The host as the plugin sees it.
pub struct Host;

/// What it may call from any thread.
#[derive(Default)]
pub struct Shared {
    main_thread_wanted: AtomicBool,
}

impl Shared {
    /// Whether the plugin has asked for the main thread since this was asked last.
    pub(crate) fn takes_main_thread(&self) -> bool {
        self.main_thread_wanted.swap(false, Ordering::Acquire)
    }
}

impl HostHandlers for Host {
    type Shared<'a> = Shared;
    type MainThread<'a> = ();
    type AudioProcessor<'a> = ();

    fn declare_extensions(builder: &mut HostExtensions<Self>, _: &Self::Shared<'_>) {
        builder.register::<HostGui>();
    }
}

impl SharedHandler<'_> for Shared {
    fn request_restart(&self) {}
    fn request_process(&self) {}
    fn request_callback(&self) {
        self.main_thread_wanted.store(true, Ordering::Release);
    }
}

impl HostGuiImpl for Shared {
    fn resize_hints_changed(&self) {}
    fn request_resize(&self, _: GuiSize) -> Result<(), HostError> {
        Ok(())
    }
    fn request_show(&self) -> Result<(), HostError> {
        Ok(())
    }
    fn request_hide(&self) -> Result<(), HostError> {
        Ok(())
    }
    fn closed(&self, _: bool) {}
}
