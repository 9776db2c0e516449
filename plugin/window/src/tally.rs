//! What went amiss while sound ran: counted where it happens, told by the window's thread.

use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Mutex, PoisonError};

/// Counts. The audio thread adds to them and never waits.
#[derive(Default)]
pub(crate) struct Tally {
    blocks: AtomicU64,
    gaps: AtomicU64,
    gap_frames: AtomicU64,
    lost_frames: AtomicU64,
    system_gaps: AtomicU64,
    file_is_damaged: AtomicBool,
    /// Why the sound system has stopped. Not for the audio thread while sound runs.
    stopped: Mutex<Option<String>>,
}

impl Tally {
    /// Counts a block that went through the meter or stood still in front of it. Realtime safe.
    pub(crate) fn block(&self) {
        self.blocks.fetch_add(1, Ordering::Relaxed);
    }

    /// Counts a gap in what is heard: so many frames had not come in time, and silence stood in for them. Realtime
    /// safe.
    pub(crate) fn gap(&self, frames: u64) {
        self.gaps.fetch_add(1, Ordering::Relaxed);
        self.gap_frames.fetch_add(frames, Ordering::Relaxed);
    }

    /// Counts frames that were measured and could not be handed to the output. Realtime safe.
    pub(crate) fn lost(&self, frames: u64) {
        self.lost_frames.fetch_add(frames, Ordering::Relaxed);
    }

    /// Counts a gap that the sound system itself told of. Realtime safe.
    pub(crate) fn system_gap(&self) {
        self.system_gaps.fetch_add(1, Ordering::Relaxed);
    }

    /// Notes that a file could not be read as a whole.
    pub(crate) fn damage(&self) {
        self.file_is_damaged.store(true, Ordering::Relaxed);
    }

    /// Notes that the sound system has stopped, and why.
    pub(crate) fn stop(&self, why: String) {
        *self.stopped.lock().unwrap_or_else(PoisonError::into_inner) = Some(why);
    }

    /// Blocks so far.
    pub(crate) fn blocks(&self) -> u64 {
        self.blocks.load(Ordering::Relaxed)
    }

    /// Whether a file could not be read as a whole.
    pub(crate) fn is_damaged(&self) -> bool {
        self.file_is_damaged.load(Ordering::Relaxed)
    }

    /// Why the sound system has stopped, once.
    pub(crate) fn take_stopped(&self) -> Option<String> {
        self.stopped.lock().unwrap_or_else(PoisonError::into_inner).take()
    }

    /// What a person should know when all is over: a line for each kind of gap.
    pub(crate) fn lines(&self) -> Vec<String> {
        let read = |count: &AtomicU64| count.load(Ordering::Relaxed);
        let mut lines = Vec::new();
        if read(&self.gaps) > 0 {
            lines.push(format!(
                "what was heard had {} gaps, {} frames in all, where sound came too late; what was measured has none of \
                 them (a larger --block may help)",
                read(&self.gaps),
                read(&self.gap_frames),
            ));
        }
        if read(&self.lost_frames) > 0 {
            lines.push(format!(
                "{} frames were measured and not heard: the output runs slower than the input",
                read(&self.lost_frames),
            ));
        }
        if read(&self.system_gaps) > 0 {
            lines.push(format!(
                "the sound system told of {} gaps: what was heard may have crackled, and live sound that fell into \
                 them was not measured",
                read(&self.system_gaps),
            ));
        }
        lines
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_amiss_is_nothing_to_tell() {
        let tally = Tally::default();
        tally.block();
        assert_eq!(tally.lines(), [] as [&str; 0]);
        assert_eq!(tally.blocks(), 1);
    }

    #[test]
    fn gaps_are_told_with_their_frames() {
        let tally = Tally::default();
        tally.gap(100);
        tally.gap(28);
        tally.system_gap();
        let lines = tally.lines();
        assert_eq!(lines.len(), 2, "{lines:?}");
        assert!(lines[0].contains("2 gaps, 128 frames"), "{lines:?}");
    }
}
