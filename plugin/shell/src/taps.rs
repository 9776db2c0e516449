//! Taps of the parameter that marks a place: a controller's button, or a key that the host sends to it.

use std::sync::Arc;
use std::sync::atomic::{AtomicU32, Ordering};

/// How often it was pressed. Counted where the host sets it, on whatever thread: no lock, no allocation.
#[derive(Clone, Default)]
pub(crate) struct Taps(Arc<AtomicU32>);

impl Taps {
    /// The parameter is set to this now.
    pub(crate) fn set(&self, pressed: bool) {
        self.0.fetch_add(u32::from(pressed), Ordering::Relaxed);
    }

    pub(crate) fn count(&self) -> u32 {
        self.0.load(Ordering::Relaxed)
    }
}
