//! Figures as text. What is undefined is a dash.

use candlemark_analysis::Lufs;
use candlemark_session::figures::Fold;

const UNDEFINED: &str = "–";

/// A loudness with its unit.
pub(crate) fn loudness(loudness: Option<Lufs>) -> String {
    loudness.map_or(UNDEFINED.into(), |Lufs(lufs)| format!("{} LUFS", signed(lufs, 1)))
}

/// A mono fold: in dB, or that nothing is left.
pub(crate) fn fold(fold: Fold) -> String {
    match fold.kept {
        Some(0.0) => "nothing left in mono".into(),
        _ => fold.db().map_or(UNDEFINED.into(), |db| format!("{} dB", signed(db.0, 1))),
    }
}

/// A correlation with its sign.
pub(crate) fn correlation(correlation: Option<f64>) -> String {
    correlation.map_or(UNDEFINED.into(), |correlation| with_sign(correlation, 2))
}

/// A difference of levels with its sign, in dB.
pub(crate) fn difference(db: f64) -> String {
    format!("{} dB", with_sign(db, 1))
}

/// A level in dB.
pub(crate) fn level(db: f64) -> String {
    format!("{} dB", signed(db, 1))
}

/// A time in hours, minutes and seconds.
pub(crate) fn clock(seconds: f64) -> String {
    let whole = seconds.max(0.0) as u64;
    format!("{}:{:02}:{:02}", whole / 3600, whole / 60 % 60, whole % 60)
}

/// A frequency as the trade writes it.
pub(crate) fn frequency(hz: f64) -> String {
    if hz >= 1000.0 { format!("{} kHz", hz / 1000.0) } else { format!("{hz} Hz") }
}

/// With a true minus, and no minus before a zero.
fn signed(value: f64, digits: usize) -> String {
    let text = format!("{value:.digits$}");
    match text.strip_prefix('-') {
        Some(zero) if zero.chars().all(|character| matches!(character, '0' | '.')) => zero.into(),
        Some(positive) => format!("−{positive}"),
        None => text,
    }
}

/// With a plus as well.
fn with_sign(value: f64, digits: usize) -> String {
    let text = signed(value, digits);
    if text.starts_with('−') || text.chars().all(|character| matches!(character, '0' | '.')) {
        text
    } else {
        format!("+{text}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn signs_are_those_of_the_rounded_figure() {
        assert_eq!(difference(0.04), "0.0 dB");
        assert_eq!(difference(-0.04), "0.0 dB");
        assert_eq!(difference(0.05000001), "+0.1 dB");
        assert_eq!(difference(-1.26), "−1.3 dB");
        assert_eq!(correlation(Some(1.0)), "+1.00");
        assert_eq!(correlation(Some(-0.001)), "0.00");
        assert_eq!(correlation(Some(-1.0)), "−1.00");
    }

    #[test]
    fn what_is_undefined_is_a_dash() {
        assert_eq!(loudness(None), "–");
        assert_eq!(correlation(None), "–");
        assert_eq!(fold(Fold { kept: None }), "–");
    }

    #[test]
    fn a_fold_of_nothing_is_told_in_words() {
        assert_eq!(fold(Fold { kept: Some(0.0) }), "nothing left in mono");
        assert_eq!(fold(Fold { kept: Some(1.0) }), "0.0 dB");
        assert_eq!(fold(Fold { kept: Some(0.5) }), "−3.0 dB");
    }

    #[test]
    fn times_and_frequencies_read_as_people_write_them() {
        assert_eq!(clock(0.0), "0:00:00");
        assert_eq!(clock(-1.0), "0:00:00");
        assert_eq!(clock(3.0 * 3600.0 + 61.9), "3:01:01");
        assert_eq!(frequency(31.5), "31.5 Hz");
        assert_eq!(frequency(1250.0), "1.25 kHz");
        assert_eq!(frequency(16000.0), "16 kHz");
    }
}
