//! What the person has meant of what was said of the song, kept inside the host's project.

use std::sync::{Mutex, MutexGuard, PoisonError};

use candlemark_handoff::{Oddity, TapeReader};
use candlemark_session::remarks::Meant;
use nice_plug::params::persist::PersistentField;
use serde::de::IgnoredAny;
use serde::{Deserialize, Serialize};

/// What a project has saved.
#[derive(Serialize, Deserialize)]
#[serde(untagged)]
pub(crate) enum Saved {
    Meant(Vec<Meant>),
    /// Anything else, which only a damaged project holds.
    #[serde(skip_serializing)]
    Spoilt(IgnoredAny),
}

/// What is meant. Locked by the host's main thread and the clerk, never by the audio thread.
pub(crate) struct SavedMeant {
    kept: Mutex<Kept>,
    tape: TapeReader,
}

struct Kept {
    saved: Saved,
    /// A project has been opened, and the clerk has not looked since.
    is_new: bool,
}

impl SavedMeant {
    pub(crate) fn new(tape: TapeReader) -> Self {
        Self { kept: Mutex::new(Kept { saved: Saved::Meant(Vec::new()), is_new: false }), tape }
    }

    /// What was meant, once after a project has been opened.
    pub(crate) fn newly_opened(&self) -> Option<Vec<Meant>> {
        let mut kept = self.lock();
        match &kept.saved {
            Saved::Meant(meant) if kept.is_new => {
                let meant = meant.clone();
                kept.is_new = false;
                Some(meant)
            }
            _ => None,
        }
    }

    /// Keeps what is meant now.
    pub(crate) fn keep(&self, meant: &[Meant]) {
        let mut kept = self.lock();
        // A project has been opened meanwhile: this was of the one before.
        if !kept.is_new {
            kept.saved = Saved::Meant(meant.to_vec());
        }
    }

    /// What stands in for it in a project from before there was one, as the framework writes it.
    pub(crate) fn default_field() -> String {
        serde_json::to_string(&Saved::Meant(Vec::new())).unwrap_or_default()
    }

    fn lock(&self) -> MutexGuard<'_, Kept> {
        // Each change is one assignment, so a thread that panicked has left nothing half done.
        self.kept.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl PersistentField<'_, Saved> for SavedMeant {
    fn set(&self, saved: Saved) {
        let saved = match saved {
            Saved::Meant(_) => saved,
            Saved::Spoilt(_) => {
                // What was meant of another song must not silence what is said of this one.
                self.tape.oddities().count(Oddity::SpoiltState);
                Saved::Meant(Vec::new())
            }
        };
        *self.lock() = Kept { saved, is_new: true };
    }

    fn map<F, R>(&self, f: F) -> R
    where
        F: Fn(&Saved) -> R,
    {
        f(&self.lock().saved)
    }
}
