//! The candle: the song's time as it burns down. Time is passed in.

use serde::{Deserialize, Serialize};

/// What a song may take, to begin with: two hours (common practice, no source).
pub const BUDGET_S: f64 = 2.0 * 60.0 * 60.0;

/// The least and the most that a song may be given (ours).
pub const BUDGETS_S: [f64; 2] = [15.0 * 60.0, 8.0 * 60.0 * 60.0];

/// The share of the budget, at its end, over which the display dims.
const FADE: f64 = 0.1;

/// A song's time. It burns while sound is heard.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Candle {
    budget_s: f64,
    burnt_s: f64,
}

impl Default for Candle {
    fn default() -> Self {
        Self::new(BUDGET_S)
    }
}

impl Candle {
    /// A fresh candle of so many seconds, which is at least one.
    pub fn new(budget_s: f64) -> Self {
        Self { budget_s: budget_s.max(1.0), burnt_s: 0.0 }
    }

    /// Gives the song another budget, of at least a second. What has burnt stays burnt.
    pub fn set_budget_s(&mut self, budget_s: f64) {
        self.budget_s = budget_s.max(1.0);
    }

    /// Burns for so many seconds.
    pub fn burn(&mut self, seconds: f64) {
        self.burnt_s += seconds.max(0.0);
    }

    /// The song's whole time, in seconds.
    pub fn budget_s(&self) -> f64 {
        self.budget_s
    }

    /// What is left of it, in seconds; never under 0.
    pub fn left_s(&self) -> f64 {
        (self.budget_s - self.burnt_s).max(0.0)
    }

    /// The share that is left, 0 to 1.
    pub fn left_share(&self) -> f64 {
        self.left_s() / self.budget_s
    }

    /// How bright the display is to be: 1 until the last tenth of the budget, then evenly down to `floor_share`.
    pub fn brightness_share(&self, floor_share: f64) -> f64 {
        let lit = (self.left_share() / FADE).min(1.0);
        floor_share + (1.0 - floor_share) * lit
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_dims_over_the_last_tenth_and_no_further_than_the_floor() {
        const FLOOR: f64 = 0.35;
        let mut candle = Candle::new(1000.0);
        assert_eq!(candle.brightness_share(FLOOR), 1.0);
        candle.burn(900.0);
        assert_eq!((candle.left_s(), candle.brightness_share(FLOOR)), (100.0, 1.0));
        candle.burn(50.0);
        assert!((candle.brightness_share(FLOOR) - f64::midpoint(1.0, FLOOR)).abs() < 1e-12);
        candle.burn(5000.0);
        assert_eq!((candle.left_s(), candle.brightness_share(FLOOR)), (0.0, FLOOR));
    }

    #[test]
    fn time_does_not_run_backwards() {
        let mut candle = Candle::new(1000.0);
        candle.burn(-5.0);
        assert_eq!(candle.left_s(), 1000.0);
    }
}
