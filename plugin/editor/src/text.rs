//! Figures as text. What is undefined is a dash.

use candlemark_session::figures::Fold;
use candlemark_session::words::{number, signed};

/// What stands for a figure that does not exist.
pub(crate) const UNDEFINED: &str = "–";

/// A figure to one decimal place; from a hundred on to none, where a decimal tells nothing.
pub(crate) fn figure(value: Option<f64>) -> String {
    value.map_or(UNDEFINED.into(), |value| number(value, usize::from(value.abs() < 99.95)))
}

/// A mono fold in dB, or that nothing is left.
pub(crate) fn fold(fold: Fold) -> String {
    if fold.kept == Some(0.0) { "lost".into() } else { figure(fold.db().map(|db| db.0)) }
}

/// A correlation with its sign.
pub(crate) fn correlation(correlation: Option<f64>) -> String {
    correlation.map_or(UNDEFINED.into(), |correlation| signed(correlation, 2))
}

/// From one figure to another.
pub(crate) fn range([from, to]: [f64; 2], digits: usize) -> String {
    let (from, to) = (number(from, digits), number(to, digits));
    match (from == to, to.starts_with('−')) {
        (true, _) => from,
        (false, true) => format!("{from}…{to}"),
        (false, false) => format!("{from}–{to}"),
    }
}

/// The same in words.
pub(crate) fn range_in_words([from, to]: [f64; 2]) -> String {
    let (from, to) = (number(from, 1), number(to, 1));
    if from == to { from } else { format!("{from} to {to}") }
}

/// A length of time in hours and minutes; a begun minute counts.
pub(crate) fn hours(seconds: f64) -> String {
    let minutes = (seconds / 60.0).ceil() as u64;
    match (minutes / 60, minutes % 60) {
        (0, minutes) => format!("{minutes} min"),
        (hours, 0) => format!("{hours} h"),
        (hours, minutes) => format!("{hours} h {minutes:02}"),
    }
}

/// A length of time as it is spoken, after "the": whole hours in words.
pub(crate) fn spoken_hours(seconds: f64) -> String {
    const WHOLE: [&str; 8] = [
        "hour",
        "two hours",
        "three hours",
        "four hours",
        "five hours",
        "six hours",
        "seven hours",
        "eight hours",
    ];
    let minutes = (seconds / 60.0).ceil() as usize;
    let spoken = (minutes / 60).checked_sub(1).and_then(|hours| WHOLE.get(hours));
    match spoken {
        Some(spoken) if minutes.is_multiple_of(60) => (*spoken).to_owned(),
        _ if minutes < 60 => format!("{minutes} minutes"),
        _ => hours(seconds),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn signs_are_those_of_the_rounded_figure() {
        assert_eq!(figure(Some(-119.96)), "−120");
        assert_eq!(figure(Some(-99.94)), "−99.9");
        assert_eq!(figure(Some(-99.96)), "−100");
        assert_eq!(correlation(Some(1.0)), "+1.00");
        assert_eq!(correlation(Some(-0.001)), "0.00");
        assert_eq!(correlation(Some(-1.0)), "−1.00");
    }

    #[test]
    fn what_is_undefined_is_a_dash() {
        assert_eq!(figure(None), "–");
        assert_eq!(correlation(None), "–");
        assert_eq!(fold(Fold { kept: None }), "–");
    }

    #[test]
    fn a_fold_of_nothing_is_told_in_words() {
        assert_eq!(fold(Fold { kept: Some(0.0) }), "lost");
        assert_eq!(fold(Fold { kept: Some(1.0) }), "0.0");
        assert_eq!(fold(Fold { kept: Some(0.5) }), "−3.0");
    }

    #[test]
    fn a_range_of_negative_figures_is_not_joined_by_what_looks_like_a_minus() {
        assert_eq!(range([6.0, 9.04], 1), "6.0–9.0");
        assert_eq!(range([-1.7, -0.9], 1), "−1.7…−0.9");
        assert_eq!(range([5.0, 5.01], 1), "5.0");
    }

    #[test]
    fn times_read_as_people_write_them() {
        assert_eq!(hours(7200.0), "2 h");
        assert_eq!(hours(6601.0), "1 h 51");
        assert_eq!(hours(2999.0), "50 min");
        assert_eq!(hours(1.0), "1 min");
        assert_eq!([spoken_hours(7200.0), spoken_hours(2700.0)], ["two hours", "45 minutes"]);
        assert_eq!([spoken_hours(3600.0), spoken_hours(5400.0)], ["hour", "1 h 30"]);
    }
}
