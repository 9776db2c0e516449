//! What is kept inside the host's project and taken over once, when a project has been opened: what the person has meant of
//! what was said, and the songs.

use std::sync::Mutex;

use candlemark_handoff::{Oddity, TapeReader};
use nice_plug::params::persist::PersistentField;
use serde::de::DeserializeOwned;
use serde::de::IgnoredAny;
use serde::{Deserialize, Serialize};

use crate::lock::lock;

/// What a project has saved.
#[derive(Serialize, Deserialize)]
#[serde(untagged)]
pub(crate) enum Saved<T> {
    Kept(T),
    /// Anything else, which only a damaged project holds.
    #[serde(skip_serializing)]
    Spoilt(IgnoredAny),
}

/// It. Locked by the host's main thread and the clerk, never by the audio thread.
pub(crate) struct SavedOnce<T> {
    kept: Mutex<Kept<T>>,
    tape: TapeReader,
}

struct Kept<T> {
    saved: Saved<T>,
    /// A project has been opened, and the clerk has not looked since.
    is_new: bool,
}

impl<T: Clone + Default + Serialize> SavedOnce<T> {
    pub(crate) fn new(tape: TapeReader) -> Self {
        Self { kept: Mutex::new(Kept { saved: Saved::Kept(T::default()), is_new: false }), tape }
    }

    /// What a project holds, once after it has been opened.
    pub(crate) fn newly_opened(&self) -> Option<T> {
        let mut kept = lock(&self.kept);
        match &kept.saved {
            Saved::Kept(held) if kept.is_new => {
                let held = held.clone();
                kept.is_new = false;
                Some(held)
            }
            _ => None,
        }
    }

    /// Keeps it as it is now, and gives what was kept before. Not where a project has been opened meanwhile: then this was of
    /// the one before.
    pub(crate) fn keep(&self, now: T) -> Option<T> {
        let mut kept = lock(&self.kept);
        if kept.is_new {
            return None;
        }
        match std::mem::replace(&mut kept.saved, Saved::Kept(now)) {
            Saved::Kept(before) => Some(before),
            Saved::Spoilt(_) => None,
        }
    }

    /// What stands in for it in a project from before there was one, as the framework writes it.
    pub(crate) fn default_field() -> String {
        serde_json::to_string(&Saved::Kept(T::default())).unwrap_or_default()
    }
}

impl<T> PersistentField<'_, Saved<T>> for SavedOnce<T>
where
    T: Clone + Default + Serialize + DeserializeOwned + Send,
{
    fn set(&self, saved: Saved<T>) {
        let saved = match saved {
            Saved::Kept(_) => saved,
            Saved::Spoilt(_) => {
                // What was meant of another song must not silence what is said of this one.
                self.tape.oddities().count(Oddity::SpoiltState);
                Saved::Kept(T::default())
            }
        };
        *lock(&self.kept) = Kept { saved, is_new: true };
    }

    fn map<F, R>(&self, f: F) -> R
    where
        F: Fn(&Saved<T>) -> R,
    {
        f(&lock(&self.kept).saved)
    }
}
