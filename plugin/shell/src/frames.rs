//! When the window is painted: when there is something new to show, thirty times a second at most, and never while it is
//! hidden.

use std::sync::{Arc, Mutex};
use std::time::Instant;

use candlemark_editor::FramePace;

use crate::lock::lock;

/// Asks an open window for frames, from any thread.
#[derive(Clone, Default)]
pub(crate) struct Frames(Arc<Mutex<State>>);

#[derive(Default)]
struct State {
    /// Counts openings: what a window that is gone still says does not count.
    opening: u64,
    /// The window, once it has painted its first frame: before that X11 may lose what it is asked for.
    window: Option<egui::Context>,
    hidden: bool,
    pace: FramePace,
}

/// One opening of the window.
pub(crate) struct Opening {
    frames: Frames,
    /// Which opening it is.
    pub(crate) number: u64,
}

impl Opening {
    /// The window has painted.
    pub(crate) fn painted(&self, window: &egui::Context) {
        self.frames.with(|state| {
            if state.opening == self.number {
                state.window.get_or_insert_with(|| window.clone());
            }
        });
    }
}

impl Frames {
    /// A window is opened; none other is open any more.
    pub(crate) fn open(&self) -> Opening {
        let number = self.with(|state| {
            *state = State { opening: state.opening + 1, ..State::default() };
            state.opening
        });
        Opening { frames: self.clone(), number }
    }

    /// The window is shown, or hidden.
    pub(crate) fn hide(&self, hidden: bool) {
        self.with(|state| state.hidden = hidden);
    }

    /// The window of this opening is gone. Where another has been opened since, that one stays.
    pub(crate) fn close(&self, number: u64) {
        self.with(|state| {
            if state.opening == number {
                *state = State { opening: number + 1, ..State::default() };
            }
        });
    }

    /// Asks for a frame, where there is a window to paint.
    pub(crate) fn ask(&self) {
        let wanted = self.with(|state| {
            let window = state.window.clone().filter(|_| !state.hidden)?;
            Some((window, state.pace.ask(Instant::now())?))
        });
        // Outside the lock: the window has locks of its own.
        if let Some((window, after)) = wanted {
            window.request_repaint_after(after);
        }
    }

    fn with<T>(&self, work: impl FnOnce(&mut State) -> T) -> T {
        work(&mut lock(&self.0))
    }
}
