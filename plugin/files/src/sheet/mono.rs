//! What mono leaves of a file: of the whole, at worst, and band by band.

use candlemark_session::comparison::Comparison;
use candlemark_session::figures::{BandFigures, FallsAway, Fold, SongFigures};
use candlemark_session::words::{bands, clock, hertz, number, signed};
use maud::{Markup, html};

use super::balance::taken_by_mono;
use super::figures::{NOTHING, line, reach, with_sign, with_unit};
use super::{Sounded, places};

pub(super) fn fold(fold: Fold, decimals: usize) -> String {
    match (fold.db(), fold.kept) {
        (Some(db), _) => number(db.0, decimals) + " dB",
        (None, Some(_)) => "lost".to_owned(),
        (None, None) => NOTHING.to_owned(),
    }
}

/// From where to where bands fall away.
fn place(falls: &FallsAway) -> String {
    match (falls.at_s, falls.until_s) {
        (Some(at_s), Some(until_s)) => places([at_s, until_s]),
        (Some(at_s), None) => format!("from {}", clock(at_s)),
        (None, Some(until_s)) => format!("until {}", clock(until_s)),
        (None, None) => "everywhere".to_owned(),
    }
}

/// The whole, and the worst places.
pub(super) fn part(sounded: Sounded<'_>, comparison: Option<&Comparison>) -> Markup {
    let song = sounded.figures;
    let records = comparison.map(|comparison| comparison.figures).unwrap_or_default();
    html! {
        section {
            h3 { "Mono" }
            @if sounded.is_mono { p { "It is one channel." } } @else {
                table {
                    (line("fold", &fold(song.fold, 2), &reach(records.fold_db, 2)))
                    @if let Some(worst) = song.fold_worst {
                        (line("at worst, for 10 s", &fold(worst.fold, 2), &format!("from {}", clock(worst.at_s))))
                    }
                    (line("correlation", &with_sign(song.correlation, 2, ""), ""))
                    @if let Some(low) = &song.low_end {
                        (line(&format!("low end, {}", bands(low.falls.bands_hz)), &fold(low.falls.fold, 1), &place(&low.falls)))
                    }
                    @for octave in &song.cancels {
                        (line(&bands(octave.bands_hz), &fold(octave.fold, 1), &place(octave)))
                    }
                }
                @if !song.cancels.is_empty() { p .note { "Of each octave the 10 s that lose most." } }
            }
        }
    }
}

/// Every third octave, in a table, where there is any.
pub(super) fn by_band(song: &SongFigures, comparison: Option<&Comparison>) -> Markup {
    html! {
        @if !song.bands.is_empty() { section {
            h3 { "Band by band" }
            div .table { table .long {
                caption { (if comparison.is_some() { "dB from the middle of the records, loudness matched; fold in dB" } else { "dB relative to the loudness of the same 3 s; fold in dB" }) }
                thead {
                    tr {
                        th scope="col" { "Hz" } th scope="col" { "song" }
                        @if comparison.is_some() { th scope="col" { "records" } th scope="col" { "" } }
                        th scope="col" { "fold" } th scope="col" { "correlation" }
                    }
                }
                tbody { @for band in &song.bands { (row(band, comparison)) } }
            } }
        } }
    }
}

fn row(band: &BandFigures, comparison: Option<&Comparison>) -> Markup {
    let beside =
        comparison.map(|comparison| comparison.bands.iter().find(|beside| beside.nominal == band.nominal));
    let is_taken = taken_by_mono(band, comparison).is_some();
    let (song, records, verdict) = match beside {
        None => (with_unit(band.relative.map(|spread| spread.median_db), 1, ""), None, ""),
        Some(None) => (NOTHING.to_owned(), Some(NOTHING.to_owned()), ""),
        Some(Some(beside)) => (
            signed(beside.off_db, 1),
            Some(format!("{} to {}", signed(beside.low_db, 1), signed(beside.high_db, 1))),
            match (beside.outside, beside.off_db > beside.high_db) {
                (false, _) => "",
                (true, true) => "above",
                (true, false) => "below",
            },
        ),
    };
    html! {
        tr {
            th scope="row" { (hertz(band.nominal.0)) }
            td .outside[!verdict.is_empty()] { (song) }
            @if let Some(records) = records { td .records { small { (records) } } td .outside { (verdict) } }
            td .mono[is_taken] { (fold(band.fold, 1).trim_end_matches(" dB")) }
            td { (with_sign(band.correlation, 2, "")) }
        }
    }
}
