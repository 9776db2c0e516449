//! What the meter shows, in a few lines.

use std::fmt::Write as _;

use candlemark_session::view::View;

/// Columns of a line.
const WIDTH: usize = 78;

/// A number with a real minus sign.
fn number(value: f64, decimals: usize) -> String {
    let text = format!("{:.decimals$}", value.abs());
    if value < 0.0 && text.bytes().any(|byte| (b'1'..=b'9').contains(&byte)) {
        format!("−{text}")
    } else {
        text
    }
}

/// What does not exist is a dash.
pub(crate) fn or_dash(value: Option<f64>, decimals: usize) -> String {
    value.map_or_else(|| "–".to_owned(), |value| number(value, decimals))
}

/// Minutes and seconds.
pub(crate) fn clock(seconds: f64) -> String {
    let whole = seconds.max(0.0) as u64;
    format!("{}:{:02}", whole / 60, whole % 60)
}

/// A range of bands by their nominal frequencies.
pub(crate) fn bands([low_hz, high_hz]: [f64; 2]) -> String {
    if low_hz >= 1000.0 {
        format!("{}–{} kHz", low_hz / 1000.0, high_hz / 1000.0)
    } else {
        format!("{low_hz}–{high_hz} Hz")
    }
}

/// The song's figures, with the records' own beside them.
pub(crate) fn figures(view: &View) -> String {
    let song = &view.song;
    let records = view.comparison.as_ref().map(|comparison| comparison.figures).unwrap_or_default();
    let beside = |reach: Option<[f64; 2]>, decimals: usize| {
        reach.map_or_else(String::new, |[low, high]| {
            format!("the records {} to {}", number(low, decimals), number(high, decimals))
        })
    };
    let mut page = String::new();
    let mut line = |what: &str, figure: String, records: String| {
        let line = format!("  {what:<13}{figure:<34}{records}");
        let _ = writeln!(page, "{}", line.trim_end());
    };
    let lufs = or_dash(song.integrated.map(|lufs| lufs.0), 1);
    line("loudness", format!("{lufs} LUFS"), String::new());
    line("", format!("range {} LU", or_dash(song.range_lu, 1)), beside(records.range_lu, 1));
    let psr = or_dash(song.psr_loud.map(|db| db.0), 1);
    line("dynamics", format!("loud parts {psr} dB (PSR)"), beside(records.psr_loud_db, 1));
    let plr = or_dash(song.plr.map(|db| db.0), 1);
    line("", format!("whole {plr} dB (PLR)"), beside(records.plr_db, 1));
    let fold = or_dash(song.fold.db().map(|db| db.0), 2);
    line("mono", format!("fold {fold} dB"), beside(records.fold_db, 2));
    if let Some(comparison) = &view.comparison {
        let (outside, all) = (comparison.outside_count(), comparison.bands.len());
        line("balance", format!("{outside} of {all} third octaves outside the records"), String::new());
    }
    page
}

/// A text in lines, the first behind `head` and the others as far in.
pub(crate) fn hanging(head: &str, text: &str) -> String {
    let indent = head.chars().count();
    let mut page = head.to_owned();
    let mut column = indent;
    for (index, word) in text.split_whitespace().enumerate() {
        let length = word.chars().count();
        if index > 0 && column + 1 + length > WIDTH {
            let _ = write!(page, "\n{:indent$}{word}", "");
            column = indent + length;
        } else {
            let space = if index > 0 { " " } else { "" };
            page.push_str(space);
            page.push_str(word);
            column += space.len() + length;
        }
    }
    page.push('\n');
    page
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_places_and_bands_read_as_people_write_them() {
        assert_eq!([number(-0.04, 1), number(-1.25, 2), number(3.0, 1)], ["0.0", "−1.25", "3.0"]);
        assert_eq!([clock(0.0), clock(48.9), clock(125.0)], ["0:00", "0:48", "2:05"]);
        assert_eq!([bands([2000.0, 6300.0]), bands([40.0, 100.0])], ["2–6.3 kHz", "40–100 Hz"]);
        assert_eq!(or_dash(None, 1), "–");
    }

    #[test]
    fn a_long_text_hangs_behind_its_head() {
        let page = hanging("  1  ", &"word ".repeat(20));
        let lines: Vec<&str> = page.lines().collect();
        assert_eq!(lines.len(), 2);
        assert!(lines[0].starts_with("  1  word") && lines[1].starts_with("     word"), "{page}");
        assert!(lines.iter().all(|line| line.chars().count() <= WIDTH));
    }
}
