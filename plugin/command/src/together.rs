//! Several files beside each other, as a part of the page.

use std::fmt::Write as _;
use std::path::PathBuf;

use candlemark_files::{FileError, Measured, told_apart};
use candlemark_session::side_by_side::SideBySide;
use candlemark_session::words::{number, shown, signed};

use crate::pages::{self, or_nothing};
use crate::sentences;

/// The files that could be measured, beside each other. `None` where there are no two.
pub(crate) fn of(results: &[Result<Measured, FileError>]) -> Option<SideBySide> {
    let songs: Vec<_> = results.iter().map(|result| result.as_ref().ok().map(|m| &m.figures)).collect();
    (songs.iter().flatten().count() > 1).then(|| SideBySide::new(&songs))
}

/// What is said of those that are not like the others.
fn odd_ones(together: &SideBySide, names: &[String]) -> Vec<String> {
    let sentence = |odd: &candlemark_session::side_by_side::OddOne| {
        let (name, beside) = (names.get(odd.song)?, together.songs.get(odd.song)?);
        Some(odd.words(&format!("\"{name}\""), beside))
    };
    together.odd.iter().filter_map(sentence).collect()
}

/// The table. What a file differs in stands beside the middle of the others; its name stands last, for it may be long.
pub(crate) fn page(
    together: &SideBySide,
    files: &[PathBuf],
    results: &[Result<Measured, FileError>],
) -> String {
    let mut page = format!("{} files side by side, each beside the middle of the others\n\n", files.len());
    let names: Vec<String> = told_apart(files).iter().map(shown).collect();
    for sentence in odd_ones(together, &names) {
        let _ = writeln!(page, "{}\n", sentences::paragraph(&sentence));
    }
    let groups = pages::group_names();
    let _ = writeln!(page, "{:>8}{:>8}{:>9}{groups}   file", "LUFS", "apart", "balance");
    for ((name, result), beside) in names.iter().zip(results).zip(&together.songs) {
        let lufs = pages::lufs(result.as_ref().ok().and_then(|measured| measured.figures.integrated));
        let apart = or_nothing(beside.loudness_lu.map(|lu| signed(lu, 1)));
        let balance = or_nothing(beside.balance_db.map(|db| number(db, 1)));
        let groups = pages::group_cells(beside.groups_db);
        let told = if result.is_err() { format!("{name}: could not be read") } else { name.clone() };
        let _ = writeln!(page, "{lufs:>8}{apart:>8}{balance:>9}{groups}   {told}");
    }
    page
}
