//! Numbers, places and bands as people read them, for whoever writes sentences or pages.

/// Half of the tenth to which decibels are printed: closer is the same, and less is nothing.
pub const SAME_DB: f64 = 0.05;

/// A number with so many decimals, a true minus, and none before a zero.
pub fn number(value: f64, decimals: usize) -> String {
    let text = format!("{:.decimals$}", value.abs());
    if value < 0.0 && !is_zero(&text) { format!("−{text}") } else { text }
}

/// The same, with a plus above zero.
pub fn signed(value: f64, decimals: usize) -> String {
    let text = number(value, decimals);
    if value > 0.0 && !is_zero(&text) { format!("+{text}") } else { text }
}

fn is_zero(text: &str) -> bool {
    text.bytes().all(|byte| matches!(byte, b'0' | b'.'))
}

/// From where to where figures reach, to the tenth.
pub fn from_to([low, high]: [f64; 2]) -> String {
    format!("{} to {}", number(low, 1), number(high, 1))
}

/// A place in the song, in minutes and seconds, and in hours when it has any.
pub fn clock(seconds: f64) -> String {
    let minus = if seconds <= -1.0 { "−" } else { "" };
    let whole = seconds.abs() as u64;
    let (hours, minutes, seconds) = (whole / 3600, whole / 60 % 60, whole % 60);
    if hours > 0 {
        format!("{minus}{hours}:{minutes:02}:{seconds:02}")
    } else {
        format!("{minus}{minutes}:{seconds:02}")
    }
}

/// How long a file is: under a minute in seconds and tenths, from there on as a clock has it, to the nearest second.
pub fn length(seconds: f64) -> String {
    // What would round to a minute in tenths is told as one.
    if seconds < 59.95 { format!("{seconds:.1} s") } else { clock(seconds.round()) }
}

/// A band's nominal frequency in hertz, as it stands in a column: without its unit, and thousands as k.
pub fn hertz(hz: f64) -> String {
    if hz >= 1000.0 { format!("{}k", hz / 1000.0) } else { format!("{hz}") }
}

/// So many records.
pub fn records(count: usize) -> String {
    if count == 1 { "1 record".to_owned() } else { format!("{count} records") }
}

/// A stretch of bands, by their nominal frequencies.
pub fn bands([low, high]: [f64; 2]) -> String {
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

/// A name that anybody may have given, a file's or a yardstick's, as it can stand in a line: what would break the line or order
/// a terminal about (line breaks, tabs, ESC, BEL and every other control character) is written as its escape.
pub fn shown(name: impl std::fmt::Display) -> String {
    let mut shown = String::new();
    for letter in name.to_string().chars() {
        if letter.is_control() { shown.extend(letter.escape_default()) } else { shown.push(letter) }
    }
    shown
}

/// What a person typed, as one line of `most` letters at most.
pub(crate) fn one_line(typed: &str, most: usize) -> String {
    let letters = typed.replace(|letter: char| letter.is_control(), " ");
    let line = letters.split_whitespace().collect::<Vec<_>>().join(" ");
    line.chars().take(most).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_and_places_read_as_they_are_spoken() {
        assert_eq!([number(-0.04, 1), number(-6.25, 1)], ["0.0", "−6.2"]);
        assert_eq!([clock(134.9), clock(0.0), clock(-0.5), clock(-4.0)], ["2:14", "0:00", "0:00", "−0:04"]);
        assert_eq!([number(-1.25, 2), number(3.0, 1)], ["−1.25", "3.0"]);
        assert_eq!([number(-3.01, 1), signed(0.05, 2)], ["−3.0", "+0.05"]);
        assert_eq!(
            [0.04, -0.04, 0.050_000_01, -1.26].map(|db| signed(db, 1)),
            ["0.0", "0.0", "+0.1", "−1.3"]
        );
        assert_eq!(
            [f64::INFINITY, -f64::INFINITY, f64::NAN].map(|db| signed(db, 1)),
            ["+inf", "−inf", "NaN"]
        );
        assert_eq!([clock(48.9), clock(125.0)], ["0:48", "2:05"]);
        let hours = [3599.9, 3600.0, 3.0 * 3600.0 + 61.9, -3661.0];
        assert_eq!(hours.map(clock), ["59:59", "1:00:00", "3:01:01", "−1:01:01"]);
    }

    #[test]
    fn lengths_columns_and_records_read_as_they_stand_on_a_page() {
        let lengths = [0.2, 59.94, 59.96, 219.4, 219.6, 3600.0];
        assert_eq!(lengths.map(length), ["0.2 s", "59.9 s", "1:00", "3:39", "3:40", "1:00:00"]);
        assert_eq!([31.5, 800.0, 1000.0, 1250.0, 16_000.0].map(hertz), ["31.5", "800", "1k", "1.25k", "16k"]);
        assert_eq!([0, 1, 2].map(records), ["0 records", "1 record", "2 records"]);
    }

    #[test]
    fn a_name_orders_nobody_about() {
        assert_eq!(
            shown("a\u{1b}[31m\u{7}b\nc\t\u{9b}d\u{7f}"),
            r"a\u{1b}[31m\u{7}b\nc\t\u{9b}d\u{7f}",
            "ESC and BEL, breaks, and what C1 has of ESC"
        );
        let whole = "Été 🌊, \"o'clock\" \\ שיר";
        assert_eq!(shown(whole), whole);
        assert_eq!(shown(std::path::Path::new("a\rb.wav").display()), r"a\rb.wav");
    }

    #[test]
    fn bands_are_named_as_people_name_them() {
        for (pair, words) in [
            ([80.0, 125.0], "80–125 Hz"),
            ([31.5, 100.0], "31.5–100 Hz"),
            ([2000.0, 6300.0], "2–6.3 kHz"),
            ([800.0, 1250.0], "800 Hz–1.25 kHz"),
            ([40.0, 100.0], "40–100 Hz"),
            ([63.0, 63.0], "63 Hz"),
            ([1000.0, 1000.0], "1 kHz"),
        ] {
            assert_eq!(bands(pair), words);
        }
    }
}
