//! The yardstick in use, kept inside the host's project.

use std::sync::{Arc, Mutex};

use candlemark_files::{from_toml, to_toml};
use candlemark_handoff::{Oddity, TapeReader};
use candlemark_session::yardstick::Yardstick;
use nice_plug::params::persist::PersistentField;

use crate::lock::lock;
use crate::saved_once::Saved;

/// The yardstick in use. Locked by the host's main thread and the clerk, never by the audio thread.
pub(crate) struct SavedYardstick {
    in_use: Mutex<InUse>,
    tape: TapeReader,
}

struct InUse {
    /// The yardstick's own text, empty when none is in use.
    saved: Saved<String>,
    yardstick: Option<Arc<Yardstick>>,
}

impl Default for InUse {
    fn default() -> Self {
        Self { saved: Saved::Kept(String::new()), yardstick: None }
    }
}

impl SavedYardstick {
    pub(crate) fn new(tape: TapeReader) -> Self {
        Self { in_use: Mutex::default(), tape }
    }

    /// The yardstick in use, if any.
    pub(crate) fn get(&self) -> Option<Arc<Yardstick>> {
        lock(&self.in_use).yardstick.clone()
    }

    /// Takes a yardstick into use.
    pub(crate) fn take_into_use(&self, yardstick: Yardstick) {
        let saved = Saved::Kept(to_toml(&yardstick));
        *lock(&self.in_use) = InUse { saved, yardstick: Some(Arc::new(yardstick)) };
    }

    /// Uses none any more.
    pub(crate) fn put_away(&self) {
        *lock(&self.in_use) = InUse::default();
    }
}

impl PersistentField<'_, Saved<String>> for SavedYardstick {
    fn set(&self, saved: Saved<String>) {
        let yardstick = match &saved {
            Saved::Kept(text) if text.is_empty() => Some(None),
            Saved::Kept(text) => from_toml(text).ok().map(|yardstick| Some(Arc::new(yardstick))),
            Saved::Spoilt(_) => None,
        };
        // The one before stays, rather than that a damaged project takes it away too.
        let Some(yardstick) = yardstick else { return self.tape.oddities().count(Oddity::SpoiltState) };
        *lock(&self.in_use) = InUse { saved, yardstick };
    }

    fn map<F, R>(&self, f: F) -> R
    where
        F: Fn(&Saved<String>) -> R,
    {
        f(&lock(&self.in_use).saved)
    }
}
