//! What a host does that it need not: survived, and counted.

use std::sync::atomic::Ordering::Relaxed;

use crate::atomics::AtomicU64;

/// Something that a host does and that must not hurt.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Oddity {
    /// A block without frames.
    EmptyBlock,
    /// A block that came without any word about the host's transport.
    NoTransport,
    /// A block with fewer channels than the host had agreed to. It was not measured.
    MissingChannels,
    /// An activation at a sample rate that cannot be measured at.
    UnsupportedRate,
    /// A saved state whose yardstick could not be read; the one before it was kept.
    SpoiltState,
    /// A state that a newer version saved: what this one does not know of it was left out.
    NewerState,
}

/// Counts of what the host did oddly since the tape was made.
#[derive(Debug, Default)]
pub struct Oddities([AtomicU64; 6]);

impl Oddities {
    /// Counts one.
    ///
    /// # Realtime safety
    ///
    /// One atomic addition.
    pub fn count(&self, oddity: Oddity) {
        if let Some(counter) = self.0.get(oddity as usize) {
            // Relaxed: a count orders nothing but itself.
            counter.fetch_add(1, Relaxed);
        }
    }

    /// How often it has happened.
    pub fn of(&self, oddity: Oddity) -> u64 {
        // Relaxed: as above.
        self.0.get(oddity as usize).map_or(0, |counter| counter.load(Relaxed))
    }
}

#[cfg(all(test, not(loom)))]
mod tests {
    use super::*;

    #[test]
    fn each_is_counted_for_itself() {
        use Oddity::{EmptyBlock, MissingChannels, NewerState, NoTransport, SpoiltState, UnsupportedRate};
        let all = [EmptyBlock, NoTransport, MissingChannels, UnsupportedRate, SpoiltState, NewerState];
        let oddities = Oddities::default();
        for (times, oddity) in (1..).zip(all) {
            for _ in 0..times {
                oddities.count(oddity);
            }
        }
        for (times, oddity) in (1..).zip(all) {
            assert_eq!(oddities.of(oddity), times, "{oddity:?}");
        }
    }
}
