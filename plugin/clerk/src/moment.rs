//! A moment, by both clocks.

use std::time::{Duration, Instant, SystemTime, UNIX_EPOCH};

/// A machine that slept for less than this has not slept (ours): clocks on the wall are corrected by seconds.
pub(crate) const SLEPT_S: f64 = 60.0;

/// A moment.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Moment {
    /// By the clock that only goes forward. On most systems it stands still while the machine sleeps.
    pub(crate) at: Instant,
    /// By the clock on the wall, in seconds since 1970. It may be put forward and back.
    pub(crate) unix_s: f64,
}

/// What passed between two moments.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Passed {
    /// Awake, in seconds.
    pub(crate) awake_s: f64,
    /// Asleep, in seconds: the clock on the wall has gone on and the other has not. A clock that was put forward by
    /// over a minute looks the same; one that was put back is not believed.
    pub(crate) asleep_s: f64,
}

impl Moment {
    pub(crate) fn now() -> Self {
        let since_1970 = SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or(Duration::ZERO);
        Self { at: Instant::now(), unix_s: since_1970.as_secs_f64() }
    }

    /// What passed since an earlier moment.
    pub(crate) fn since(self, earlier: Self) -> Passed {
        let awake_s = self.at.saturating_duration_since(earlier.at).as_secs_f64();
        let more_s = self.unix_s - earlier.unix_s - awake_s;
        Passed { awake_s, asleep_s: if more_s >= SLEPT_S { more_s } else { 0.0 } }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sleep_is_what_the_clock_on_the_wall_alone_tells() {
        let begun = Moment { at: Instant::now(), unix_s: 1e9 };
        let later = |awake_s: f64, wall_s: f64| {
            let at = begun.at + Duration::from_secs_f64(awake_s);
            Moment { at, unix_s: begun.unix_s + wall_s }.since(begun).asleep_s
        };
        assert_eq!(later(0.5, 0.5), 0.0);
        assert_eq!(later(0.5, 3.0), 0.0, "set right by some seconds");
        assert_eq!(later(0.5, 3600.5), 3600.0);
        assert_eq!(later(0.5, -7200.0), 0.0, "put back");
    }
}
