//! The sheet of the song as the window has heard it. A file's own things (head, tail, fingerprint, a delivery) it has not,
//! and says so; what the song's page holds of it, it has.

use std::path::{Path, PathBuf};

use candlemark_session::remarks::Meant;
use candlemark_session::strip::StripPoint;
use candlemark_session::view::View;
use candlemark_session::words::{clock, shown};
use maud::{Markup, html};

use super::save::is_sheet;
use super::{Sounded, balance, document, elsewhere, figures, mono, named, pencil, remarks, session, strip};
use crate::yardstick_name::PATH_CHARACTERS;

const NAMELESS: &str = "a song without a name";
/// Heard parts further apart than this leave something of the song out, in seconds (ours): a cell more or less at either end
/// is no gap.
const GAP_S: f64 = 2.0;

/// What a sheet says of the song in the window.
#[derive(Clone, Copy, Debug)]
pub struct SongSheet<'a> {
    /// The song, beside its yardstick, with its remarks, its candle and its pencil marks.
    pub view: &'a View,
    /// The bus has one channel.
    pub is_mono: bool,
    /// What the person has meant of what was said of it.
    pub meant: &'a [Meant],
    /// Rests that were taken to their end.
    pub rests: usize,
    /// When the sheet is made, in seconds since 1970.
    pub made_unix_s: f64,
}

impl SongSheet<'_> {
    pub(super) fn name(&self) -> &str {
        self.view.song_name.as_deref().unwrap_or(NAMELESS)
    }
}

/// The page, as text. `version` is the program's.
pub fn song_page(sheet: &SongSheet<'_>, version: &str) -> String {
    let view = sheet.view;
    let sounded =
        Sounded { figures: &view.song, strip: &view.strip, is_mono: sheet.is_mono, pencil: &view.pencil };
    let comparison = view.comparison.as_ref();
    let main = html! {
        article {
            h2 { (named(sheet.name())) }
            p .what { (heard(sheet)) }
            (remarks(&view.remarks))
            (meant(sheet.meant))
            (strip::part(sounded, 0))
            @if view.strip_by_time {
                p .note { "The host told no position: the strip is by time, its last ten minutes." }
            }
            (pencil::part(view))
            (balance::part(sounded.figures, comparison, Some(&view.drifts), 0))
            div .columns {
                (figures::part(sounded.figures, comparison))
                (figures::health(sounded.figures))
                (session::part(sheet))
                @if !view.elsewhere.is_empty() { (elsewhere(&view.elsewhere)) }
                (mono::part(sounded, comparison))
            }
            (mono::by_band(sounded.figures, comparison))
            (session::settings(sheet))
        }
    };
    document(&format!("Print sheet: {}", shown(sheet.name())), "Print sheet", &main, version)
}

/// How much of the song the figures are of.
fn heard(sheet: &SongSheet<'_>) -> String {
    let view = sheet.view;
    let is_heard = |point: &&StripPoint| point.latest.is_some() || !point.aside;
    let first_s = view.strip.iter().find(is_heard).map(|point| point.song_s - point.cell_s);
    let last_s = view.strip.iter().rfind(is_heard).map(|point| point.song_s);
    let length_s = first_s.zip(last_s).map(|(first_s, last_s)| last_s - first_s);
    let heard_s = view.song.duration_s;
    let whole = length_s.filter(|length_s| !view.strip_by_time && length_s - heard_s > GAP_S);
    let of = whole.map_or_else(|| " of the song".to_owned(), |length_s| format!(" of {}", clock(length_s)));
    let channels = if sheet.is_mono { "mono" } else { "stereo" };
    format!(
        "{}{of} heard in the window, {channels}: the latest pass of every part, each once",
        clock(heard_s)
    )
}

fn meant(meant: &[Meant]) -> Markup {
    html! {
        @if !meant.is_empty() {
            section {
                h3 { "Meant " small { "said of this song, and answered with “meant it”" } }
                ul { @for meant in meant { li { (meant.text) } } }
            }
        }
    }
}

/// What to call the sheet of a song of this name: fit for a file on any system.
pub fn file_name(song: Option<&str>) -> String {
    let bad = |letter: char| letter.is_control() || PATH_CHARACTERS.contains(letter);
    let name: String = song.unwrap_or("song").chars().map(|c| if bad(c) { '-' } else { c }).collect();
    let name = name.trim().trim_matches('.');
    format!("{}, print sheet.html", if name.is_empty() { "song" } else { name })
}

/// Where to write a sheet that a person has named in the system's dialog, and whether what is there may be written over.
///
/// The dialog has asked where there is a file of the very name that was given, but what it asked is its own affair: only what
/// is a sheet of ours is written over, and nothing under a name that was made longer here.
pub fn place_for(named: &Path) -> (PathBuf, bool) {
    let is_page = named
        .extension()
        .is_some_and(|ending| ["html", "htm"].into_iter().any(|page| ending.eq_ignore_ascii_case(page)));
    if is_page {
        return (named.to_owned(), is_sheet(named));
    }
    let mut longer = named.as_os_str().to_owned();
    longer.push(".html");
    (longer.into(), false)
}

#[cfg(test)]
mod tests;
