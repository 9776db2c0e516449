//! The print sheet: the page that goes with a finished file, or with the song as the window has heard it.
//!
//! One HTML page without scripts that fetches nothing, so that it can be mailed, kept for years and printed on A4 or Letter.
//! Whatever a file's name or a yardstick's name holds is escaped, and turns nothing but itself. It is made of what was
//! measured and of nothing else: the same files give the same page.

mod album;
mod balance;
mod date;
mod figures;
mod look;
mod mono;
mod pencil;
mod save;
mod session;
mod settings;
mod song;
mod strip;

use std::path::Path;

use candlemark_analysis::Channels;
use candlemark_session::comparison::Comparison;
use candlemark_session::delivery::{Delivered, Verdict};
use candlemark_session::elsewhere::Elsewhere;
use candlemark_session::figures::SongFigures;
use candlemark_session::pencil::PencilMark;
use candlemark_session::remarks::Remark;
use candlemark_session::side_by_side::SideBySide;
use candlemark_session::strip::StripPoint;
use candlemark_session::words::{clock, shown};
use maud::{DOCTYPE, Markup, PreEscaped, html};

use crate::{FileError, Measured, told_apart};

pub use save::{check_free, save};
pub use song::{SongSheet, file_name, place_for, song_page};

/// What a sheet says of one file.
#[derive(Debug)]
pub struct SheetFile<'a> {
    /// The file, as it was named.
    pub path: &'a Path,
    /// What it measures, or why nothing of it could be read.
    pub measured: Result<&'a Measured, &'a FileError>,
    /// Its SHA-256, in hexadecimal digits, or why there is none. `None` of a file that could not be measured.
    pub sha256: Option<Result<String, FileError>>,
    /// The file beside the yardstick.
    pub comparison: Option<&'a Comparison>,
    /// What is kept of it elsewhere.
    pub elsewhere: &'a [Elsewhere],
    /// What of a delivery profile it holds.
    pub delivered: Option<&'a Delivered<'a>>,
    /// What there is to say.
    pub remarks: &'a [Remark],
}

impl SheetFile<'_> {
    fn name(&self) -> String {
        self.path
            .file_name()
            .map_or_else(|| self.path.display().to_string(), |n| n.to_string_lossy().into_owned())
    }
}

/// The page, as text. `together` is the same files beside each other; `version` is the program's.
pub fn page(files: &[SheetFile<'_>], together: Option<&SideBySide>, version: &str) -> String {
    let title = match files {
        [one] => format!("Print sheet: {}", shown(one.name())),
        more => format!("Print sheet: {} files", more.len()),
    };
    let heading = if files.len() > 1 { &title } else { "Print sheet" };
    let names = told_apart(&files.iter().map(|file| file.path).collect::<Vec<_>>());
    let main = html! {
        @if files.len() > 1 { (album::part(files, &names, together)) }
        @for ((number, file), name) in files.iter().enumerate().zip(&names) { (article(file, number, name)) }
    };
    document(&title, heading, &main, version)
}

/// A whole page.
fn document(title: &str, heading: &str, main: &Markup, version: &str) -> String {
    let markup = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                // Whatever reads it: nothing is fetched, and nothing runs.
                meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'";
                meta name="generator" content=(format!("{GENERATOR} {version}"));
                meta name="color-scheme" content="light dark";
                title { (title) }
                style { (PreEscaped(look::style())) }
            }
            body {
                header { h1 { (heading) } }
                main { (main) }
                footer { (settings::sources(version)) }
            }
        }
    };
    markup.into_string()
}

/// What the page says of itself made it.
const GENERATOR: &str = "Candlemark";

/// What a sheet's pictures and tables are made of, a file's or the song's.
#[derive(Clone, Copy)]
struct Sounded<'a> {
    figures: &'a SongFigures,
    strip: &'a [StripPoint],
    /// It is one channel: there is no mono to speak of.
    is_mono: bool,
    pencil: &'a [PencilMark],
}

/// Everything about one file.
fn article(file: &SheetFile<'_>, number: usize, name: &str) -> Markup {
    let id = format!("file-{}", number + 1);
    html! {
        article id=(id) {
            h2 { (named(name)) }
            @match file.measured {
                Err(error) => { p .trouble { (of_file(error, file.path)) } }
                Ok(measured) => { (measured_file(file, measured, number)) }
            }
        }
    }
}

fn measured_file(file: &SheetFile<'_>, measured: &Measured, number: usize) -> Markup {
    let is_mono = measured.info.channels == Channels::Mono;
    let sounded = Sounded { figures: &measured.figures, strip: &measured.strip, is_mono, pencil: &[] };
    html! {
        p .what { (settings::what(measured)) }
        @for trouble in &measured.troubles { p .trouble { (of_file(trouble, file.path)) } }
        (remarks(file.remarks))
        @if let Some(delivered) = file.delivered { (delivery(delivered)) }
        (strip::part(sounded, number))
        (balance::part(sounded.figures, file.comparison, None, number))
        div .columns {
            (figures::part(sounded.figures, file.comparison))
            (figures::edges(measured))
            @if !file.elsewhere.is_empty() { (elsewhere(file.elsewhere)) }
            (mono::part(sounded, file.comparison))
        }
        (mono::by_band(sounded.figures, file.comparison))
        (settings::part(file, measured))
    }
}

fn remarks(remarks: &[Remark]) -> Markup {
    html! {
        section {
            h3 { "What there is to say" }
            @if remarks.is_empty() {
                p { "Nothing, by the rules that look." }
            } @else {
                ol .remarks { @for remark in remarks { li { (remark.text) } } }
            }
        }
    }
}

fn delivery(delivered: &Delivered<'_>) -> Markup {
    let profile = delivered.profile;
    html! {
        section {
            h3 { "Delivery " small { "“" (named(&profile.name)) "”" @if !profile.source.is_empty() { ", " (profile.source) } } }
            p { (delivered.tally()) @for caution in delivered.cautions() { " · " (caution) } }
            ul .delivery {
                @for line in &delivered.lines {
                    li .broken[line.verdict == Verdict::NotHeld] {
                        strong { (line.verdict.words()) } " " (line.words())
                    }
                }
            }
        }
    }
}

fn elsewhere(all: &[Elsewhere]) -> Markup {
    html! {
        section {
            h3 { "Elsewhere " small { "loudness kept" } }
            table {
                @for elsewhere in all {
                    tr {
                        th scope="row" { (elsewhere.playback.words()) }
                        td .figure { (elsewhere.kept_words()) }
                        td .records { small { (elsewhere.records_words().unwrap_or_default()) } }
                    }
                }
            }
        }
    }
}

/// A name that anybody may have given. By itself: one that is written from right to left, or is made to look so, would turn
/// what follows it.
fn named(name: impl std::fmt::Display) -> Markup {
    html! { bdi { (shown(name)) } }
}

/// A sentence in which a name stands, with nothing before it but its quotation mark.
fn naming(sentence: &str, name: &str) -> Markup {
    html! {
        @match sentence.split_once(name) {
            Some((before, after)) => { (shown(before)) (named(name)) (shown(after)) }
            None => { (shown(sentence)) }
        }
    }
}

/// What is wrong with a file, in a sentence that names it.
fn of_file(error: &FileError, path: &Path) -> Markup {
    naming(&error.to_string(), &path.display().to_string())
}

/// Places in a row as people read them: one, or from one to another.
fn places([from_s, to_s]: [f64; 2]) -> String {
    let (from, to) = (clock(from_s), clock(to_s));
    if from == to { from } else { format!("{from}–{to}") }
}
