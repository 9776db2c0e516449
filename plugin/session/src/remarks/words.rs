//! Figures in sentences.

use crate::figures::Fold;

/// A sentence with its gaps filled.
pub(crate) fn filled(sentence: &str, gaps: &[(&'static str, String)]) -> String {
    gaps.iter().fold(sentence.to_owned(), |text, (gap, words)| text.replace(&format!("{{{gap}}}"), words))
}

/// With a true minus, and none before a zero.
pub(crate) fn number(value: f64, decimals: usize) -> String {
    let text = format!("{:.decimals$}", value.abs());
    let is_zero = text.bytes().all(|byte| matches!(byte, b'0' | b'.'));
    if value < 0.0 && !is_zero { format!("−{text}") } else { text }
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

/// A stretch of bands, by their nominal frequencies.
pub(crate) fn bands([low, high]: [f64; 2]) -> String {
    let (low, high) = if low >= 1000.0 {
        (format!("{}", low / 1000.0), format!("{} kHz", high / 1000.0))
    } else if high >= 1000.0 {
        (format!("{low} Hz"), format!("{} kHz", high / 1000.0))
    } else {
        (format!("{low}"), format!("{high} Hz"))
    };
    let is_one = high.split(' ').next() == low.split(' ').next();
    if is_one { high } else { format!("{low}–{high}") }
}

/// A place in the song.
pub(crate) fn clock(seconds: f64) -> String {
    let minus = if seconds <= -1.0 { "−" } else { "" };
    let whole = seconds.abs() as u64;
    format!("{minus}{}:{:02}", whole / 60, whole % 60)
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
    fn bands_are_named_as_people_name_them() {
        for (pair, words) in [
            ([80.0, 125.0], "80–125 Hz"),
            ([31.5, 100.0], "31.5–100 Hz"),
            ([2000.0, 6300.0], "2–6.3 kHz"),
            ([800.0, 1250.0], "800 Hz–1.25 kHz"),
            ([63.0, 63.0], "63 Hz"),
            ([1000.0, 1000.0], "1 kHz"),
        ] {
            assert_eq!(bands(pair), words);
        }
    }

    #[test]
    fn amounts_places_and_lengths_read_as_they_are_spoken() {
        assert_eq!(
            [amount(-5.4), amount(1.9), amount(0.96), amount(-0.04)],
            ["5 dB", "1.9 dB", "1.0 dB", "0.0 dB"]
        );
        assert_eq!([number(-0.04, 1), number(-6.25, 1)], ["0.0", "−6.2"]);
        assert_eq!([clock(134.9), clock(0.0), clock(-0.5), clock(-4.0)], ["2:14", "0:00", "0:00", "−0:04"]);
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

    #[test]
    fn every_gap_is_filled() {
        let gaps = [("bands", "2–6.3 kHz".to_owned()), ("amount", "4 dB".to_owned())];
        assert_eq!(
            filled("{bands} lies {amount} above {bands}.", &gaps),
            "2–6.3 kHz lies 4 dB above 2–6.3 kHz."
        );
    }
}
