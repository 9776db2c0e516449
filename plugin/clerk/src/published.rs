//! Where the clerk puts what there is to show, and who is told when it is new.

use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use candlemark_session::candle::Candle;
use candlemark_session::view::View;

use crate::shown::Shown;

/// What is called when there is something new to show, on the clerk's thread.
pub(crate) type Tell = Arc<dyn Fn() + Send + Sync>;

/// What there is to show of an instance. Locked for the exchange of a pointer by the clerk and by whoever draws, never by
/// the audio thread.
#[derive(Default)]
pub(crate) struct Published {
    shown: Mutex<Arc<Shown>>,
    tell: Mutex<Option<Tell>>,
    /// A hand was in the window since this was looked at last.
    works: AtomicBool,
}

impl Published {
    pub(crate) fn get(&self) -> Arc<Shown> {
        Arc::clone(&lock(&self.shown))
    }

    /// Puts what there is to show, and tells when it is not what was there.
    pub(crate) fn put(&self, shown: Shown) {
        let before = std::mem::replace(&mut *lock(&self.shown), Arc::new(shown));
        if is_same(&before, &self.get()) {
            return;
        }
        let tell = lock(&self.tell).clone();
        if let Some(tell) = tell {
            tell();
        }
    }

    /// A hand is in the window.
    pub(crate) fn work(&self) {
        self.works.store(true, Ordering::Relaxed);
    }

    /// Whether one was since this was asked last.
    pub(crate) fn take_work(&self) -> bool {
        self.works.swap(false, Ordering::Relaxed)
    }

    /// Whom to tell from now on, and nobody else.
    pub(crate) fn tell(&self, tell: Option<Tell>) {
        *lock(&self.tell) = tell;
    }
}

fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    // Each change is one assignment, so a thread that panicked has left nothing half done.
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Whether both look the same. What grows with the song is shared while it stays as it is, and is not looked through.
fn is_same(one: &Shown, other: &Shown) -> bool {
    let is_shared = Arc::ptr_eq(&one.view.song, &other.view.song)
        && Arc::ptr_eq(&one.view.strip, &other.view.strip)
        && Arc::ptr_eq(&one.view.drifts, &other.view.drifts)
        && Arc::ptr_eq(&one.shelf, &other.shelf);
    let looks_alike = one.view.candle.looks_like(&other.view.candle);
    let rest = |shown: &Shown| {
        let (song, strip, candle) = (Arc::default(), Arc::default(), Candle::default());
        let view = View { song, strip, candle, ..shown.view.clone() };
        Shown { view, ..shown.clone() }
    };
    is_shared && looks_alike && rest(one) == rest(other)
}

#[cfg(test)]
mod tests {
    use std::sync::atomic::AtomicUsize;

    use super::*;

    #[test]
    fn only_what_is_new_is_told() {
        let published = Published::default();
        let told = Arc::new(AtomicUsize::new(0));
        let count = Arc::clone(&told);
        published.tell(Some(Arc::new(move || _ = count.fetch_add(1, Ordering::Relaxed))));
        let shown = Shown { trouble: Some("a disk is gone".into()), ..(*published.get()).clone() };
        published.put(shown.clone());
        published.put(shown.clone());
        assert_eq!(told.load(Ordering::Relaxed), 1);
        let view = View { playhead_s: Some(1.0), ..shown.view.clone() };
        published.put(Shown { view, ..shown.clone() });
        assert_eq!(told.load(Ordering::Relaxed), 2);
        published.tell(None);
        published.put(shown);
        assert_eq!(told.load(Ordering::Relaxed), 2);
    }
}
