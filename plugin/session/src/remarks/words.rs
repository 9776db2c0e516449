//! Figures in sentences.

use crate::figures::Fold;
use crate::words::{clock, number};

/// A sentence with its gaps filled.
pub(crate) fn filled(sentence: &str, gaps: &[(&'static str, String)]) -> String {
    gaps.iter().fold(sentence.to_owned(), |text, (gap, words)| text.replace(&format!("{{{gap}}}"), words))
}

/// How much, in decibels: to the decibel, and to the tenth where it is little.
pub(crate) fn amount(db: f64) -> String {
    let db = db.abs();
    format!("{} dB", number(db, usize::from(db < 1.95)))
}

/// What mono does to bands.
pub(crate) fn falls(fold: Fold) -> String {
    /// A hundredth of the power is lost, as far as anyone hears (ours).
    const LOST_DB: f64 = -20.0;
    match fold.db() {
        Some(db) if db.0 > LOST_DB => format!("falls away by {}", amount(db.0)),
        _ => "is lost".to_owned(),
    }
}

/// A length: under two minutes in seconds.
pub(crate) fn length(seconds: f64) -> String {
    let whole = seconds.round();
    if whole < 120.0 { format!("{whole} s") } else { format!("{} minutes", number(whole / 60.0, 0)) }
}

/// Where something lies first, where that is known.
pub(crate) fn first_at(at_s: Option<f64>) -> String {
    at_s.map_or_else(String::new, |at_s| format!(", first at {}", clock(at_s)))
}

/// How often.
pub(crate) fn times(count: u64) -> String {
    match count {
        1 => "once".to_owned(),
        2 => "twice".to_owned(),
        count => format!("{count} times"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn amounts_and_lengths_read_as_they_are_spoken() {
        assert_eq!(
            [amount(-5.4), amount(1.9), amount(0.96), amount(-0.04)],
            ["5 dB", "1.9 dB", "1.0 dB", "0.0 dB"]
        );
        assert_eq!([length(24.4), length(119.6), length(200.0)], ["24 s", "2 minutes", "3 minutes"]);
        assert_eq!([times(1), times(2), times(12)], ["once", "twice", "12 times"]);
        assert_eq!([first_at(None), first_at(Some(61.0))], ["", ", first at 1:01"]);
    }

    #[test]
    fn what_falls_away_altogether_is_lost() {
        assert_eq!(falls(Fold { kept: Some(0.5) }), "falls away by 3 dB");
        assert_eq!(falls(Fold { kept: Some(0.009) }), "is lost");
        assert_eq!(falls(Fold { kept: Some(0.0) }), "is lost");
    }
}
