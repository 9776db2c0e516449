//! How often the picture is painted for what is new.

use std::time::{Duration, Instant};

/// Between frames: 30 a second.
pub(crate) const BETWEEN_FRAMES: Duration = Duration::from_micros(33_334);

/// Thirty frames a second at most, and none late. Time is passed in.
#[derive(Clone, Copy, Debug, Default)]
pub struct FramePace {
    /// When the frame is due that was asked for last.
    due: Option<Instant>,
}

impl FramePace {
    /// There is something new to show: gives after how long to paint it. `None` where a frame is coming anyhow that will
    /// show it.
    pub fn ask(&mut self, now: Instant) -> Option<Duration> {
        if self.due.is_some_and(|coming| coming > now) {
            return None;
        }
        let due = self.due.map_or(now, |before| (before + BETWEEN_FRAMES).max(now));
        self.due = Some(due);
        Some(due - now)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A render tells of new things far more often than a window paints.
    #[test]
    fn many_asks_are_few_frames_and_none_comes_late() {
        let start = Instant::now();
        let mut pace = FramePace::default();
        let asks = (0..1000).filter_map(|ms| pace.ask(start + Duration::from_millis(ms)));
        let frames: Vec<Duration> = asks.collect();
        assert!((15..=31).contains(&frames.len()), "{} frames in a second", frames.len());
        assert!(frames.iter().all(|after| *after <= BETWEEN_FRAMES), "{frames:?}");
        assert_eq!(pace.ask(start + Duration::from_secs(2)), Some(Duration::ZERO));
    }

    #[test]
    fn what_is_new_now_and_then_is_shown_at_once() {
        let start = Instant::now();
        let mut pace = FramePace::default();
        for tenth in 0..10 {
            assert_eq!(pace.ask(start + Duration::from_millis(100 * tenth)), Some(Duration::ZERO));
        }
    }
}
