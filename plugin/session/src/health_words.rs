//! What should not be in a song, as people read it.

use candlemark_analysis::Db;

use crate::figures::Health;
use crate::words::{number, signed};

/// DC under −60 dBFS is the rounding and the noise of converters (common practice, no source).
const DC_WORTH_SAYING: f64 = 0.001;

/// What is left of an uneven arrangement once it is mixed (common practice, no source).
const IMBALANCE_WORTH_SAYING_DB: f64 = 0.5;

impl Health {
    /// What is worth saying of it, a phrase each. Empty where there is nothing.
    pub fn words(&self) -> Vec<String> {
        let mut said = Vec::new();
        let count = |n: u64, one: &str, more: &str| format!("{n} {}", if n == 1 { one } else { more });
        let silent = self.silent_side.map(|silent| format!("the {} channel is silent", silent.names()[0]));
        said.extend(silent);
        if self.overs > 0 {
            said.push(count(self.overs, "moment of 0.1 s over 0 dBTP", "moments of 0.1 s over 0 dBTP"));
        }
        if self.clipped_runs > 0 {
            said.push(count(self.clipped_runs, "clip", "clips") + " of three samples or more");
        }
        if self.non_finite > 0 {
            said.push(count(self.non_finite, "sample that is no number", "samples that are no numbers"));
        }
        if self.dc_left.abs().max(self.dc_right.abs()) >= DC_WORTH_SAYING {
            said.push(format!(
                "DC {} left, {} right, which moves the correlation and the lowest bands",
                signed(self.dc_left, 4),
                signed(self.dc_right, 4)
            ));
        }
        if let Some(Db(db)) =
            self.imbalance.filter(|imbalance| imbalance.0.abs() >= IMBALANCE_WORTH_SAYING_DB)
        {
            let side = if db > 0.0 { "left" } else { "right" };
            said.push(format!("{side} {} dB louder", number(db.abs(), 1)));
        }
        said
    }
}

#[cfg(test)]
mod tests {
    use candlemark_analysis::Power;

    use super::*;
    use crate::figures::SilentSide;

    #[test]
    fn a_side_is_called_by_its_name() {
        let of = |left: f64, right: f64| SilentSide::of(Power { left, right, mid: 0.0 });
        let words = |silent_side, imbalance| Health { imbalance, silent_side, ..Health::default() }.words();
        assert_eq!(words(of(0.0, 0.1), None), ["the left channel is silent"]);
        assert_eq!(words(of(0.1, 0.0), None), ["the right channel is silent"]);
        for none in [of(0.0, 0.0), of(0.1, 0.1)] {
            assert_eq!(words(none, Some(Db(0.4))), [""; 0]);
        }
        assert_eq!(words(None, Some(Db(1.27))), ["left 1.3 dB louder"]);
        assert_eq!(words(None, Some(Db(-0.5))), ["right 0.5 dB louder"]);
    }
}
