//! Several files in one table, each beside the middle of the others, and the odd one out.

use candlemark_session::octave_groups::OctaveGroup;
use candlemark_session::side_by_side::{BesideOthers, SideBySide};
use maud::{Markup, html};

use super::figures::{with_sign, with_unit};
use super::{SheetFile, named, naming};

/// Every file with the figures by which files are put beside each other, each by its name and with a way to its own part.
pub(super) fn part(files: &[SheetFile<'_>], names: &[String], together: Option<&SideBySide>) -> Markup {
    html! {
        section {
            h2 { "Side by side" }
            @if let Some(together) = together {
                @for odd in &together.odd {
                    @if let (Some(name), Some(beside)) = (names.get(odd.song), together.songs.get(odd.song)) {
                        p .odd { (naming(&odd.words(&format!("“{name}”"), beside), name)) }
                    }
                }
            }
            div .table {
                table .long.cards {
                    caption {
                        "Apart, balance and the groups: beside the middle of the other files, in LU and dB, at matched loudness."
                    }
                    thead {
                        tr {
                            th scope="col" { "file" } th scope="col" { "LUFS" } th scope="col" { "apart" }
                            th scope="col" { "balance" }
                            @for group in OctaveGroup::ALL { th scope="col" { (group.name()) } }
                            th scope="col" { "range" } th scope="col" { "PSR" } th scope="col" { "dBTP" } th scope="col" { "fold" }
                        }
                    }
                    tbody {
                        @for ((index, file), name) in files.iter().enumerate().zip(names) {
                            @let beside = together.and_then(|together| together.songs.get(index));
                            (row(file, index, name, beside))
                        }
                    }
                }
            }
        }
    }
}

fn row(file: &SheetFile<'_>, index: usize, name: &str, beside: Option<&BesideOthers>) -> Markup {
    html! {
        tr {
            th scope="row" .words { a href=(format!("#file-{}", index + 1)) { (named(name)) } }
            @match file.measured {
                Err(_) => { td colspan="12" { "could not be read" } }
                Ok(measured) => {
                    @let song = &measured.figures;
                    td data-of="LUFS" { (with_unit(song.integrated.map(|lufs| lufs.0), 1, "")) }
                    td data-of="apart" { (with_sign(beside.and_then(|beside| beside.loudness_lu), 1, "")) }
                    td data-of="balance" { (with_unit(beside.and_then(|beside| beside.balance_db), 1, "")) }
                    @for (index, group) in OctaveGroup::ALL.into_iter().enumerate() {
                        td data-of=(group.name()) { (with_sign(beside.and_then(|beside| beside.groups_db[index]), 1, "")) }
                    }
                    td data-of="range" { (with_unit(song.range_lu, 1, "")) }
                    td data-of="PSR" { (with_unit(song.psr_loud.map(|db| db.0), 1, "")) }
                    td data-of="dBTP" { (with_sign(song.true_peak_dbtp.map(|db| db.0), 1, "")) }
                    td data-of="fold" { (with_unit(song.fold.db().map(|db| db.0), 1, "")) }
                }
            }
        }
    }
}
