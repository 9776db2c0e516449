//! The window: the plugin's own editor, without a host around it.

use std::sync::Arc;
use std::sync::atomic::AtomicBool;

use candlemark::{Meter, MeterEditor};
use nice_plug::editor::{Editor, EditorHandle, SpawnedEditor};
use nice_plug::prelude::{AsyncExecutor, Plugin};

use crate::tally::Tally;
use crate::trouble::Trouble;

type Handle = <MeterEditor as Editor>::Handle;

/// The window, open and not shown yet.
pub(crate) struct Desk {
    spawned: SpawnedEditor<Handle>,
    /// The editor opens it, so it stays as long.
    _editor: MeterEditor,
}

impl Desk {
    /// Opens a meter's editor.
    pub(crate) fn open(meter: &mut Meter) -> Result<Self, Trouble> {
        let ignored = || Arc::new(|()| ());
        let editor = meter
            .editor(AsyncExecutor::new(ignored(), ignored()))
            .ok_or_else(|| Trouble::NoWindow("the editor can't be made".to_owned()))?;
        let spawned = editor
            .spawn(None, false, None, Meter::without_host(), None)
            .map_err(|error| Trouble::NoWindow(error.to_string()))?;
        Ok(Self { spawned, _editor: editor })
    }

    /// Shows the window until it is closed, or until `asked_to_end`, and tells what goes amiss with the sound meanwhile.
    #[cfg(all(unix, not(target_os = "macos")))]
    pub(crate) fn run(self, tally: &Tally, asked_to_end: &AtomicBool) -> Result<(), Trouble> {
        use std::sync::atomic::Ordering;
        use std::thread::sleep;
        use std::time::Duration;

        use crate::silence::Silence;

        /// How often it is looked whether all is well: soon enough for a person who waits for the end.
        const ROUND: Duration = Duration::from_millis(50);

        let SpawnedEditor { handle, window } = self.spawned;
        handle.show(&window).map_err(|error| Trouble::NoWindow(error.to_string()))?;
        let mut silence = Silence::new(tally);
        while window.is_open() && !asked_to_end.load(Ordering::Relaxed) {
            sleep(ROUND);
            silence.look(tally);
            // What X11 has sent may lie read and unheeded in the window library until something wakes it.
            let _ = window.request_poll();
        }
        if !window.is_open() {
            // Its thread has ended; this asks why.
            Handle::run_until_closed(window).map_err(|error| Trouble::WindowBroke(error.to_string()))?;
        }
        Ok(())
    }

    /// Shows the window until it is closed. Here it needs the main thread; a signal ends the program as it ends any.
    #[cfg(not(all(unix, not(target_os = "macos"))))]
    pub(crate) fn run(self, _: &Tally, _: &AtomicBool) -> Result<(), Trouble> {
        Handle::run_until_closed(self.spawned.window).map_err(|error| Trouble::WindowBroke(error.to_string()))
    }
}
