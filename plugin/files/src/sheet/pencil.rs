//! What was heard without looking: the lights-out passes, and the pencil marks with the line beside each.

use candlemark_session::lights_out::Listen;
use candlemark_session::pencil::PencilMark;
use candlemark_session::view::View;
use candlemark_session::words::clock;
use maud::{Markup, html};

use super::date::date;
use super::figures::{NOTHING, with_sign, with_unit};
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
                table .long.cards {
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
    html! {
        tr {
            th scope="row" data-of="mark" { (mark.number) }
            td data-of="pass" { (mark.listen) }
            td data-of="at" { (clock(mark.at.song_s)) }
            td data-of="bar" { (mark.at.bar().map_or_else(|| NOTHING.to_owned(), |bar| bar.to_string())) }
            td data-of="LUFS" { (with_unit(read.short_term.map(|lufs| lufs.0), 1, "")) }
            td data-of="dBTP" { (with_sign(read.true_peak_dbtp.map(|db| db.0), 1, "")) }
            td data-of="fold" { (fold(read.fold, 1).trim_end_matches(" dB")) }
            td data-of="correlation" { (with_sign(read.correlation, 2, "")) }
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
                table .long.cards {
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
                                th scope="row" data-of="pass" { (listen.number) }
                                td data-of="ended" { (date(listen.ended_unix_s)) }
                                td data-of="played" { (clock(listen.played_s)) }
                                td data-of="loudness" { (with_unit(listen.integrated.map(|lufs| lufs.0), 1, " LUFS")) }
                                td data-of="range" { (with_unit(listen.range_lu, 1, " LU")) }
                                td data-of="true peak" { (with_sign(listen.true_peak_dbtp.map(|db| db.0), 1, " dBTP")) }
                                td data-of="PSR" { (with_unit(listen.psr_loud.map(|db| db.0), 1, " dB")) }
                                td data-of="fold" { (with_unit(listen.fold.map(|db| db.0), 2, " dB")) }
                            }
                        }
                    }
                }
            }
        }
    }
}
