//! What has changed in the project beside the parameters, until the host is told. The clerk and the editor note it, the editor
//! tells it while a hand is in its window.

use std::sync::atomic::{AtomicBool, AtomicI32, Ordering};

/// The last number of a change, after which they are counted anew (ours).
pub(crate) const LAST_CHANGE: i32 = 999;

/// Whether something has changed that the host does not know of.
#[derive(Default)]
pub(crate) struct Untold {
    something: AtomicBool,
    /// The number that the host was told last.
    told: AtomicI32,
}

impl Untold {
    /// Something has changed.
    pub(crate) fn note(&self) {
        self.something.store(true, Ordering::Relaxed);
    }

    /// Another project has been opened, in which nothing has.
    pub(crate) fn forget(&self) {
        self.something.store(false, Ordering::Relaxed);
    }

    /// The number to tell the host, once for what was noted, where the parameter stands at `at`. It is neither that nor the one
    /// told last, which the parameter takes on only when the host has handed it back.
    pub(crate) fn tell(&self, at: i32) -> Option<i32> {
        self.something.swap(false, Ordering::Relaxed).then(|| {
            let after = |number: i32| if number < LAST_CHANGE { number + 1 } else { 0 };
            let next = after(self.told.load(Ordering::Relaxed));
            let next = if next == at { after(next) } else { next };
            self.told.store(next, Ordering::Relaxed);
            next
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(untold: &Untold, at: i32) -> Option<i32> {
        untold.note();
        untold.tell(at)
    }

    #[test]
    fn no_number_is_told_that_the_host_has() {
        let untold = Untold::default();
        assert_eq!(untold.tell(0), None);
        assert_eq!(told(&untold, 0), Some(1));
        assert_eq!(untold.tell(1), None);
        // The host has not handed it back yet.
        assert_eq!(told(&untold, 0), Some(2));
        // A project was opened in which it stands just there.
        assert_eq!(told(&untold, 3), Some(4));
        let last = (0..LAST_CHANGE - 4).filter_map(|_| told(&untold, -1)).last();
        assert_eq!(last, Some(LAST_CHANGE));
        assert_eq!(told(&untold, LAST_CHANGE), Some(0));
    }
}
