//! What was heard without looking: the lights-out passes, and the pencil marks with the line beside each.

use candlemark_session::lights_out::Listen;
use candlemark_session::pencil::PencilMark;
use candlemark_session::view::View;
use candlemark_session::words::{clock, number, signed};
use maud::{Markup, html};

use super::date::date;
use super::figures::{NOTHING, lufs, peak, with_unit};
use super::mono::fold;

/// Both, where there is anything.
pub(super) fn part(view: &View) -> Markup {
    html! {
        @if !view.pencil.is_empty() { (marks(&view.pencil)) }
        @if !view.listens.is_empty() { (listens(&view.listens)) }
    }
}

fn marks(pencil: &[PencilMark]) -> Markup {
    let open = pencil.iter().filter(|mark| !mark.dealt_with).count();
    html! {
        section {
            h3 { "Pencil marks " small { (pencil.len()) " made with the lights out, " (open) " still open" } }
            div .table {
                table .long {
                    caption { "Where it was meant, and what the meters read over the 3 s before. Bars are of four quarter notes." }
                    thead {
                        tr {
                            th scope="col" { "mark" } th scope="col" { "pass" } th scope="col" { "at" } th scope="col" { "bar" }
                            th scope="col" { "LUFS" } th scope="col" { "dBTP" } th scope="col" { "fold, dB" }
                            th scope="col" { "correlation" } th scope="col" { "" } th scope="col" .words { "note" }
                        }
                    }
                    tbody { @for mark in pencil { (row(mark)) } }
                }
            }
        }
    }
}

fn row(mark: &PencilMark) -> Markup {
    let read = &mark.read;
    let figure = |value: Option<f64>| value.map_or_else(|| NOTHING.to_owned(), |value| number(value, 1));
    html! {
        tr {
            th scope="row" { (mark.number) }
            td { (mark.listen) }
            td { (clock(mark.at.song_s)) }
            td { (mark.at.bar().map_or_else(|| NOTHING.to_owned(), |bar| bar.to_string())) }
            td { (figure(read.short_term.map(|lufs| lufs.0))) }
            td { (read.true_peak_dbtp.map_or_else(|| NOTHING.to_owned(), |peak| signed(peak.0, 1))) }
            td { (fold(read.fold, 1).trim_end_matches(" dB")) }
            td { (read.correlation.map_or_else(|| NOTHING.to_owned(), |r| signed(r, 2))) }
            td .mono[!mark.dealt_with] { (if mark.dealt_with { "dealt with" } else { "open" }) }
            td .words { (mark.note) }
        }
    }
}

fn listens(listens: &[Listen]) -> Markup {
    html! {
        section {
            h3 { "Lights-out passes " small { "what the song measured at the end of each" } }
            div .table {
                table .long {
                    thead {
                        tr {
                            th scope="col" { "pass" } th scope="col" { "ended" } th scope="col" { "played" }
                            th scope="col" { "loudness" } th scope="col" { "range" } th scope="col" { "true peak" }
                            th scope="col" { "PSR" } th scope="col" { "fold" }
                        }
                    }
                    tbody {
                        @for listen in listens {
                            tr {
                                th scope="row" { (listen.number) }
                                td { (date(listen.ended_unix_s)) }
                                td { (clock(listen.played_s)) }
                                td { (lufs(listen.integrated)) }
                                td { (with_unit(listen.range_lu, 1, " LU")) }
                                td { (peak(listen.true_peak_dbtp, "dBTP")) }
                                td { (with_unit(listen.psr_loud.map(|db| db.0), 1, " dB")) }
                                td { (with_unit(listen.fold.map(|db| db.0), 2, " dB")) }
                            }
                        }
                    }
                }
            }
        }
    }
}
