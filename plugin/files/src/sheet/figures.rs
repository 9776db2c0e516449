//! The figures of a file beside the records', and its head and tail.

use candlemark_session::comparison::Comparison;
use candlemark_session::figures::SongFigures;
use candlemark_session::words::{number, signed};
use maud::{Markup, html};

use crate::Measured;

/// What does not exist is a dash, never a zero.
pub(super) const NOTHING: &str = "–";

pub(super) fn with_unit(value: Option<f64>, decimals: usize, unit: &str) -> String {
    value.map_or_else(|| NOTHING.to_owned(), |value| number(value, decimals) + unit)
}

pub(super) fn with_sign(value: Option<f64>, decimals: usize, unit: &str) -> String {
    value.map_or_else(|| NOTHING.to_owned(), |value| signed(value, decimals) + unit)
}

/// The lowest and the highest of the records.
pub(super) fn reach(records: Option<[f64; 2]>, decimals: usize) -> String {
    records.map_or_else(String::new, |[low, high]| {
        format!("{} to {}", number(low, decimals), number(high, decimals))
    })
}

/// One line: what it is, the figure, the records'.
pub(super) fn line(what: &str, figure: &str, records: &str) -> Markup {
    html! { tr { th scope="row" { (what) } td .figure { (figure) } td .records { small { (records) } } } }
}

/// Loudness and dynamics.
pub(super) fn part(song: &SongFigures, comparison: Option<&Comparison>) -> Markup {
    let records = comparison.map(|comparison| comparison.figures).unwrap_or_default();
    html! {
        section {
            h3 { "Loudness and dynamics" @if comparison.is_some() { " " small { "at the right, the records" } } }
            table {
                (line("loudness", &with_unit(song.integrated.map(|lufs| lufs.0), 1, " LUFS"), ""))
                (line("range", &with_unit(song.range_lu, 1, " LU"), &reach(records.range_lu, 1)))
                (line("loudest 3 s", &with_unit(song.short_term_max.map(|lufs| lufs.0), 1, " LUFS"), ""))
                (line("loudest 0.4 s", &with_unit(song.momentary_max.map(|lufs| lufs.0), 1, " LUFS"), ""))
                (line("loud parts (PSR)", &with_unit(song.psr_loud.map(|db| db.0), 1, " dB"), &reach(records.psr_loud_db, 1)))
                (line("whole (PLR)", &with_unit(song.plr.map(|db| db.0), 1, " dB"), &reach(records.plr_db, 1)))
                (line("crest factor", &with_unit(song.crest.map(|db| db.0), 1, " dB"), &reach(records.crest_db, 1)))
                (line("true peak", &with_sign(song.true_peak_dbtp.map(|db| db.0), 1, " dBTP"), ""))
                (line("sample peak", &with_sign(song.sample_peak_dbfs.map(|db| db.0), 1, " dBFS"), ""))
            }
        }
    }
}

/// Head, tail and health.
pub(super) fn edges(measured: &Measured) -> Markup {
    let seconds = |value: Option<f64>| with_unit(value, 2, " s");
    let silence = measured.silence;
    html! {
        section {
            h3 { "Head, tail and health" }
            table {
                (line("silence before", &seconds(silence.map(|silence| silence.head_s)), ""))
                (line("silence after", &seconds(silence.map(|silence| silence.tail_s)), ""))
            }
            (said_of_health(&measured.health_words(), "Health: nothing to say."))
        }
    }
}

/// Health alone: what a song in the window has of the same.
pub(super) fn health(song: &SongFigures) -> Markup {
    html! { section { h3 { "Health" } (said_of_health(&song.health.words(), "Nothing to say.")) } }
}

fn said_of_health(said: &[String], nothing: &str) -> Markup {
    html! {
        @if said.is_empty() { p { (nothing) } } @else {
            ul { @for phrase in said { li { (phrase) } } }
        }
    }
}
