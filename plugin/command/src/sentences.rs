//! What there is to say of a file, in sentences, for people.

use std::borrow::Cow;
use std::fmt::Write as _;

use candlemark_session::remarks::Remark;
use textwrap::{Options, WordSeparator, WordSplitter, WrapAlgorithm};

/// The widest line of sentences, in letters.
const WIDTH: usize = 76;

/// The remarks, numbered, and an empty line after them; nothing where there are none.
pub(crate) fn numbered(remarks: &[Remark]) -> String {
    let mut text = String::new();
    for (number, remark) in (1..).zip(remarks) {
        let lines = lines(&remark.text, WIDTH - 5);
        let _ = writeln!(text, "  {number}  {}", lines.join("\n     "));
    }
    if !remarks.is_empty() {
        text.push('\n');
    }
    text
}

/// A text, line by line broken to fit beside a heading of a page.
pub(crate) fn indented(text: &str) -> String {
    const HEADING: usize = 15;
    let lines: Vec<_> = text.lines().flat_map(|line| lines(line, WIDTH - HEADING)).collect();
    lines.join(&format!("\n{:HEADING$}", ""))
}

/// A paragraph, set in a little.
pub(crate) fn paragraph(text: &str) -> String {
    format!("  {}", lines(text, WIDTH - 2).join("\n  "))
}

/// A text in lines of at most so many letters, or of one longer word.
fn lines(text: &str, most: usize) -> Vec<Cow<'_, str>> {
    textwrap::wrap(
        text,
        Options::new(most)
            .word_separator(WordSeparator::AsciiSpace)
            .word_splitter(WordSplitter::NoHyphenation)
            .break_words(false)
            .wrap_algorithm(WrapAlgorithm::FirstFit),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sentences_are_broken_between_words() {
        assert_eq!(lines("one two three", 7), ["one two", "three"]);
        assert_eq!(lines("one two three", 6), ["one", "two", "three"]);
        assert_eq!(lines("2–6.3 kHz lies", 9), ["2–6.3 kHz", "lies"]);
        assert_eq!(lines("longer than that", 3), ["longer", "than", "that"]);
    }
}
