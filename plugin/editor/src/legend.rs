//! Legends: what the marks of a picture mean, in as many words as there is room for.

use crate::pen::{self, Pen};

/// What one mark means, long and short.
pub(crate) type Meaning = (&'static str, &'static str);

/// One line of at most `width` points. The first ones matter most: from the last on they are said shortly, and then left
/// out.
pub(crate) fn line(pen: &Pen, meanings: &[Meaning], width: f32) -> String {
    let count = meanings.len();
    let shortened = (0..=count).map(|long| {
        let words = meanings.iter().enumerate();
        words.map(|(index, meaning)| if index < long { meaning.0 } else { meaning.1 }).collect()
    });
    let fewer = (1..count).map(|left| meanings[..left].iter().map(|meaning| meaning.1).collect());
    let lines = shortened.rev().chain(fewer.rev());
    let lines: Vec<String> = lines.map(|words: Vec<&str>| words.join(" · ")).collect();
    pen.first_that_fits(&lines, pen::NOTE, width).unwrap_or_default().to_owned()
}
