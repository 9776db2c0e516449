//! Several files in one table.

use candlemark_session::words::number;
use maud::{Markup, html};

use super::SheetFile;
use super::figures::NOTHING;

/// Every file with the figures by which files are put beside each other, each with a way to its own part.
pub(super) fn part(files: &[SheetFile<'_>]) -> Markup {
    html! {
        section {
            h2 { "Side by side" }
            div .table { table .long {
                thead {
                    tr {
                        th scope="col" { "file" } th scope="col" { "LUFS" } th scope="col" { "range LU" }
                        th scope="col" { "loud parts dB" } th scope="col" { "true peak dBTP" } th scope="col" { "fold dB" }
                    }
                }
                tbody { @for (index, file) in files.iter().enumerate() { (row(file, index, &file.name_among(files))) } }
            } }
        }
    }
}

fn row(file: &SheetFile<'_>, index: usize, name: &str) -> Markup {
    let figure = |value: Option<f64>, decimals: usize| {
        value.map_or_else(|| NOTHING.to_owned(), |value| number(value, decimals))
    };
    html! {
        tr {
            th scope="row" { a href=(format!("#file-{}", index + 1)) { (name) } }
            @match file.measured {
                Err(_) => { td colspan="5" { "could not be read" } }
                Ok(measured) => {
                    @let song = &measured.figures;
                    td { (figure(song.integrated.map(|lufs| lufs.0), 1)) }
                    td { (figure(song.range_lu, 1)) }
                    td { (figure(song.psr_loud.map(|db| db.0), 1)) }
                    td { (figure(song.true_peak_dbtp.map(|db| db.0), 1)) }
                    td { (figure(song.fold.db().map(|db| db.0), 2)) }
                }
            }
        }
    }
}
