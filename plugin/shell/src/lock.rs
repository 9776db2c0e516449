//! Locks, none of which the audio thread ever takes.

use std::sync::{Mutex, MutexGuard, PoisonError};

/// Locks. Each change under a lock here is one assignment, so a thread that panicked has left nothing half done.
pub(crate) fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}
