//! A clock without sound, where there is no sound device: blocks pass through the engine in real time.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant};

use crate::gate::Gate;
use crate::trouble::Trouble;

/// Frames in a block, unless others are asked for.
const BLOCK_FRAMES: u32 = 512;

/// A clock that is this late does not hurry: after a standstill the song goes on from where it was.
const LATEST: Duration = Duration::from_millis(100);

/// The clock's thread. It ends when this is dropped.
pub(crate) struct Clock {
    ends: Arc<AtomicBool>,
    thread: Option<JoinHandle<()>>,
}

impl Clock {
    /// Starts a clock of so many frames a second.
    pub(crate) fn start(
        sample_rate_hz: u32,
        block_frames: Option<u32>,
        mut gate: Gate,
    ) -> Result<Self, Trouble> {
        let frames = block_frames.unwrap_or(BLOCK_FRAMES);
        let ends = Arc::new(AtomicBool::new(false));
        let asked_to_end = Arc::clone(&ends);
        let tick = move || {
            let mut planes = [vec![0.0; frames as usize], vec![0.0; frames as usize]];
            let mut pace = Pace::new(Instant::now(), sample_rate_hz, frames);
            while !asked_to_end.load(Ordering::Relaxed) {
                let [left, right] = &mut planes;
                left.fill(0.0);
                right.fill(0.0);
                gate.pass(left, right, None);
                thread::sleep(pace.next_wait(Instant::now()));
            }
        };
        let thread =
            thread::Builder::new().name("candlemark clock".into()).spawn(tick).map_err(Trouble::NoThread)?;
        Ok(Self { ends, thread: Some(thread) })
    }
}

impl Drop for Clock {
    fn drop(&mut self) {
        self.ends.store(true, Ordering::Relaxed);
        if let Some(thread) = self.thread.take() {
            // It has nothing to give back.
            let _ = thread.join();
        }
    }
}

/// When blocks are due.
struct Pace {
    begun: Instant,
    blocks: u64,
    block_frames: u64,
    sample_rate_hz: u64,
}

impl Pace {
    fn new(begun: Instant, sample_rate_hz: u32, block_frames: u32) -> Self {
        Self { begun, blocks: 0, block_frames: block_frames.into(), sample_rate_hz: sample_rate_hz.into() }
    }

    /// How long to wait for the next block, when one has just been passed.
    fn next_wait(&mut self, now: Instant) -> Duration {
        self.blocks += 1;
        let frames = self.blocks * self.block_frames;
        // Whole seconds apart from the rest: no rounding adds up.
        let (whole, rest) = (frames / self.sample_rate_hz, frames % self.sample_rate_hz);
        let due = self.begun
            + Duration::from_secs(whole)
            + Duration::from_nanos(rest * 1_000_000_000 / self.sample_rate_hz);
        if now.saturating_duration_since(due) > LATEST {
            self.begun = now;
            self.blocks = 0;
            return Duration::ZERO;
        }
        due.saturating_duration_since(now)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn blocks_are_due_in_real_time_without_drift() {
        let begun = Instant::now();
        let mut pace = Pace::new(begun, 44_100, 441);
        for block in 1..=100_000_u64 {
            let now = begun + Duration::from_millis(10 * (block - 1));
            assert_eq!(pace.next_wait(now), Duration::from_millis(10), "block {block}");
        }
    }

    #[test]
    fn a_little_lateness_is_made_up_for_and_a_standstill_is_not() {
        let begun = Instant::now();
        let mut pace = Pace::new(begun, 48_000, 480);
        assert_eq!(pace.next_wait(begun + Duration::from_millis(60)), Duration::ZERO);
        assert_eq!(pace.next_wait(begun + Duration::from_millis(60)), Duration::ZERO);
        let after = begun + Duration::from_secs(100);
        assert_eq!(pace.next_wait(after), Duration::ZERO);
        assert_eq!(pace.next_wait(after), Duration::from_millis(10));
    }
}
