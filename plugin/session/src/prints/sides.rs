//! What became of left and right: what mono keeps of them, a side that is gone, one channel for two, sides exchanged.

use candlemark_analysis::bands::BAND_COUNT;
use candlemark_analysis::{Cell, Channels, LoudnessHistogram, Power};
use serde::Serialize;

use super::turns::{Second, least_power};
use super::{MOVED_DB, moved_by};
use crate::figures::SilentSide;

/// The sides are exchanged where each fits the other's by so much better than its own, in squares of decibels (ours).
const BETTER: f64 = 4.0;

/// Left and right of two prints, over what both have.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Sides {
    /// How many channels the old print and the new one have. `None` where they share nothing.
    pub channels: Option<[usize; 2]>,
    /// The share of the power that mono keeps of the old print and of the new one, K-weighted, 0 to 1. `None` in silence.
    pub fold_kept: [Option<f64>; 2],
    /// The side that is silent in the old print, and in the new one. `None` where neither is, or both are.
    pub silent: [Option<SilentSide>; 2],
    /// Left and right are exchanged in the new print.
    pub are_exchanged: bool,
}

impl Sides {
    /// Of two prints' seconds beside each other, and their mean K-weighted powers over all of them.
    pub(super) fn new(seconds: &[Second<'_>], weighted: [Power; 2]) -> Self {
        let gate = LoudnessHistogram::ABSOLUTE_GATE.power();
        let over_gate = |power: f64| if power < gate { 0.0 } else { power };
        let silent = |power: Power| {
            let (left, right) = (over_gate(power.left), over_gate(power.right));
            SilentSide::of(Power { left, right, ..power })
        };
        let of_first = |first: &Second<'_>| [first.old, first.new].map(|cell| cell.channels.count());
        Self {
            channels: seconds.first().map(of_first),
            fold_kept: weighted.map(Power::fold_kept),
            silent: weighted.map(silent),
            are_exchanged: are_exchanged(seconds),
        }
    }

    /// What there is to say of them: what is the reason first, and not what follows from it.
    pub(super) fn words(&self) -> Vec<String> {
        const NAMES: [&str; 2] = ["old", "new"];
        if let Some([old, new]) = self.channels.filter(|[old, new]| old != new) {
            let [mono, stereo] = if new < old { ["new", "old"] } else { NAMES };
            return vec![format!(
                "The {mono} print is one channel, the {stereo} one is two: it counts here as both sides alike."
            )];
        }
        if self.silent[0] != self.silent[1] {
            let of_print = |print: usize| {
                let [side, _] = self.silent[print]?.names();
                let [this, other] = [NAMES[print], NAMES[1 - print]];
                Some(format!("The {side} side of the {this} print is silent, the {other} one’s is not."))
            };
            return [1, 0].into_iter().filter_map(of_print).collect();
        }
        let exchanged =
            self.are_exchanged.then(|| "Left and right are exchanged in the new print.".to_owned());
        exchanged.into_iter().chain(self.fold_words()).collect()
    }

    /// What became of the mono fold.
    fn fold_words(&self) -> Option<String> {
        let [old, new] = [self.fold_kept[0]?, self.fold_kept[1]?];
        let nothing = |print: &str| format!("In mono nothing is left of the {print} print.");
        match (old > 0.0, new > 0.0) {
            (false, false) => None,
            (true, false) => Some(nothing("new")),
            (false, true) => Some(nothing("old")),
            (true, true) => {
                let db = 10.0 * (new / old).log10();
                let how = if db > 0.0 { "less" } else { "more" };
                let moved = moved_by(db);
                let told = format!("The mono fold has {moved}: the new print loses {how} in mono.");
                (db.abs() >= MOVED_DB).then_some(told)
            }
        }
    }
}

/// Whether left over right, in each band of each second, is right over left in the other print, and clearly not as it was.
fn are_exchanged(seconds: &[Second<'_>]) -> bool {
    let (olds, news): (Vec<&Cell>, Vec<&Cell>) =
        seconds.iter().map(|second| (second.old, second.new)).unzip();
    let (least_old, least_new) = (least_power(&olds), least_power(&news));
    let left_over_right_db = |cell: &Cell, band: usize, least: f64| {
        let power = cell.bands[band];
        let (left, right) = (f64::from(power.left), f64::from(power.right));
        (cell.channels == Channels::Stereo && left.min(right) > least).then(|| 10.0 * (left / right).log10())
    };
    let (mut count, mut as_it_was, mut exchanged) = (0usize, 0.0, 0.0);
    for Second { old, new, .. } in seconds {
        for band in 0..BAND_COUNT {
            let old_db = left_over_right_db(old, band, least_old[band]);
            let new_db = left_over_right_db(new, band, least_new[band]);
            if let Some((old_db, new_db)) = old_db.zip(new_db) {
                count += 1;
                as_it_was += (new_db - old_db).powi(2);
                exchanged += (new_db + old_db).powi(2);
            }
        }
    }
    as_it_was >= count as f64 * MOVED_DB.powi(2) && as_it_was > BETTER * exchanged
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::a_cell::a_cell;

    /// Half a minute of bands that lie left or right by some decibels, from a fixed rule.
    fn print(exchange: bool) -> Vec<Cell> {
        let second = |at: i64| {
            let mut cell = a_cell(at, |_| -30.0);
            for (band, power) in cell.bands.iter_mut().enumerate() {
                power.left *= 10f32.powf(0.2 * (at as f32 * 0.7 + band as f32).sin());
                if exchange {
                    std::mem::swap(&mut power.left, &mut power.right);
                }
            }
            cell
        };
        (0..30).map(second).collect()
    }

    fn sides(old: &[Cell], new: &[Cell], weighted: [Power; 2]) -> Sides {
        let second = |(old, new)| Second { number: 0, at_s: 0.0, old, new };
        Sides::new(&old.iter().zip(new).map(second).collect::<Vec<_>>(), weighted)
    }

    const ALIKE: Power = Power { left: 0.1, right: 0.1, mid: 0.1 };

    #[test]
    fn sides_that_are_exchanged_are_told_from_those_that_are_not() {
        let both = [print(false), print(true)];
        let is_told = |old: usize, new: usize| sides(&both[old], &both[new], [ALIKE; 2]).words();
        assert_eq!(is_told(0, 1), ["Left and right are exchanged in the new print."]);
        assert_eq!(is_told(0, 0), [""; 0]);
        let middle: Vec<Cell> = (0..30).map(|at| a_cell(at, |_| -30.0)).collect();
        assert_eq!(sides(&middle, &middle, [ALIKE; 2]).words(), [""; 0], "both sides alike");
        assert_eq!(sides(&[], &[], [Power::default(); 2]).words(), [""; 0]);
    }

    #[test]
    fn a_side_that_is_gone_and_a_channel_that_is_gone_are_told_and_not_their_fold() {
        let print = print(false);
        let right_gone = Power { left: 0.1, right: 1e-9, mid: 0.025 };
        assert_eq!(
            sides(&print, &print, [ALIKE, right_gone]).words(),
            ["The right side of the new print is silent, the old one’s is not."]
        );
        assert_eq!(
            sides(&print, &print, [right_gone, ALIKE]).words(),
            ["The right side of the old print is silent, the new one’s is not."]
        );
        assert_eq!(sides(&print, &print, [right_gone; 2]).words(), [""; 0]);
        let mut mono = print.clone();
        for cell in &mut mono {
            cell.channels = Channels::Mono;
        }
        let wide = Power { left: 0.1, right: 0.1, mid: 0.05 };
        let told = "The new print is one channel, the old one is two: it counts here as both sides alike.";
        assert_eq!(sides(&print, &mono, [wide, ALIKE]).words(), [told]);
    }

    /// Mono keeps 2·mid/(left + right): 0.5 is 3.0 dB less than all, and 0.8 is 0.97 dB less.
    #[test]
    fn a_fold_that_moved_by_a_decibel_is_told() {
        let print = print(false);
        let kept = |share: f64| Power { mid: 0.1 * share, ..ALIKE };
        let words = |old: f64, new: f64| sides(&print, &print, [kept(old), kept(new)]).words();
        assert_eq!(
            words(1.0, 0.5),
            ["The mono fold has gone down by 3.0 dB: the new print loses more in mono."]
        );
        assert_eq!(
            words(0.5, 1.0),
            ["The mono fold has come up by 3.0 dB: the new print loses less in mono."]
        );
        assert_eq!(words(1.0, 0.8), [""; 0]);
        assert_eq!(words(1.0, 0.0), ["In mono nothing is left of the new print."]);
        assert_eq!(words(0.0, 1.0), ["In mono nothing is left of the old print."]);
    }
}
