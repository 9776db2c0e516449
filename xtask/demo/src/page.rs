//! What the meter shows, in a few lines.

use std::fmt::Write as _;

use candlemark_session::view::View;
use candlemark_session::words::number;
use textwrap::{Options, WordSeparator, WordSplitter, WrapAlgorithm};

/// Columns of a line.
const WIDTH: usize = 78;

/// What does not exist is a dash.
pub(crate) fn or_dash(value: Option<f64>, decimals: usize) -> String {
    value.map_or_else(|| "–".to_owned(), |value| number(value, decimals))
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
    let crest = or_dash(song.crest.map(|db| db.0), 1);
    line("", format!("crest factor {crest} dB"), beside(records.crest_db, 1));
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
    let indent = " ".repeat(head.chars().count());
    let options = Options::new(WIDTH)
        .initial_indent(head)
        .subsequent_indent(&indent)
        .word_separator(WordSeparator::AsciiSpace)
        .word_splitter(WordSplitter::NoHyphenation)
        .break_words(false)
        .wrap_algorithm(WrapAlgorithm::FirstFit);
    textwrap::fill(text.trim_end(), options) + "\n"
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_does_not_exist_is_a_dash() {
        assert_eq!([or_dash(None, 1), or_dash(Some(-1.25), 2)], ["–", "−1.25"]);
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
