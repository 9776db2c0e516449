//! How fast sound comes, beside the clock on the wall: an offline render says so itself, or it is known by its pace.

use std::collections::VecDeque;
use std::time::{Duration, Instant};

/// Over so long a time the pace is judged.
const WINDOW: Duration = Duration::from_secs(1);
/// Hosts work ahead by some blocks when they start; more than this, in seconds, is no such start (ours).
const AHEAD_S: f64 = 0.5;
/// Faster than time by more than this factor is a render (ours): live sound is never faster, but for rounding.
const FACTOR: f64 = 1.25;

/// The sound of one round.
struct Round {
    began: Instant,
    sounded_s: f64,
}

/// The pace of the last second.
#[derive(Default)]
pub(crate) struct Pace {
    rounds: VecDeque<Round>,
    last: Option<Instant>,
}

impl Pace {
    /// Takes in the seconds of sound that came since the round before, and gives whether sound comes faster than
    /// time.
    pub(crate) fn is_fast(&mut self, sounded_s: f64, now: Instant) -> bool {
        let began = self.last.replace(now).unwrap_or(now);
        self.rounds.push_back(Round { began, sounded_s });
        // One round that began before the window stays, so that a whole window is judged.
        while self.rounds.get(1).is_some_and(|round| now.saturating_duration_since(round.began) >= WINDOW) {
            self.rounds.pop_front();
        }
        let passed =
            self.rounds.front().map_or(Duration::ZERO, |round| now.saturating_duration_since(round.began));
        let sounded_s: f64 = self.rounds.iter().map(|round| round.sounded_s).sum();
        sounded_s > FACTOR * passed.as_secs_f64() + AHEAD_S
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rounds of 100 ms in which so many seconds of sound come each; gives which were fast.
    fn judged(sounded_s: impl IntoIterator<Item = f64>) -> Vec<bool> {
        let begun = Instant::now();
        let mut pace = Pace::default();
        let rounds = sounded_s.into_iter().enumerate();
        rounds.map(|(n, s)| pace.is_fast(s, begun + n as u32 * Duration::from_millis(100))).collect()
    }

    #[test]
    fn live_sound_is_not_fast_however_it_is_cut() {
        assert_eq!(judged([0.1; 40]), [false; 40]);
        // Blocks of a quarter of a second, and half a second worked ahead at the start.
        assert_eq!(judged((0..40).map(|n| if n % 5 == 0 { 0.5 } else { 0.0 })), [false; 40]);
    }

    #[test]
    fn a_render_is_fast_within_a_second_and_live_sound_after_it_is_not() {
        let rounds = judged([0.1; 10].into_iter().chain([0.3; 20]).chain([0.1; 20]));
        assert!(rounds[..10].iter().all(|fast| !fast));
        assert!(rounds[18..30].iter().all(|fast| *fast), "{rounds:?}");
        assert!(rounds[42..].iter().all(|fast| !fast), "{rounds:?}");
        // Ten times as fast as time is known at once.
        assert!(judged([1.0])[0]);
    }

    #[test]
    fn a_machine_that_stood_still_is_not_fast() {
        let begun = Instant::now();
        let mut pace = Pace::default();
        assert!(!pace.is_fast(0.1, begun));
        assert!(!pace.is_fast(5.0, begun + Duration::from_secs(5)));
    }
}
