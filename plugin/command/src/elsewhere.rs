//! What is left elsewhere, on a page and for programs.

use std::fmt::Write as _;

use candlemark_session::elsewhere::{Elsewhere, Playback};
use candlemark_session::words::{bands, number};
use serde::Serialize;

/// The `elsewhere` of a file, one for each playback.
#[derive(Serialize)]
pub(crate) struct Told {
    playback: Playback,
    speakers: u8,
    range_hz: [f64; 2],
    kept_db: Option<f64>,
    records_db: Option<[f64; 2]>,
}

impl Told {
    pub(crate) fn new(elsewhere: &Elsewhere) -> Self {
        let Elsewhere { playback, kept_db, records_db } = *elsewhere;
        Self { playback, speakers: playback.speakers(), range_hz: playback.range_hz(), kept_db, records_db }
    }
}

/// A playback as people call it: how many speakers, and what they carry.
pub(crate) fn playback(playback: Playback) -> String {
    let speakers = if playback.speakers() == 1 { "one speaker" } else { "two speakers" };
    format!("{speakers}, {}", bands(playback.range_hz()))
}

/// What is kept of a song, in words.
pub(crate) fn kept(elsewhere: &Elsewhere) -> String {
    elsewhere.kept_db.map_or_else(|| "nothing is left".to_owned(), |db| format!("{} dB", number(db, 1)))
}

/// The least and the most that is kept of a record, in words.
pub(crate) fn of_records(elsewhere: &Elsewhere) -> Option<String> {
    elsewhere.records_db.map(|[low, high]| format!("records {} to {}", number(low, 1), number(high, 1)))
}

/// What is left elsewhere, as a part of a page.
pub(crate) fn part(everywhere: &[Elsewhere]) -> String {
    let mut text = String::from("  elsewhere    loudness kept\n");
    for elsewhere in everywhere {
        let records = of_records(elsewhere).map_or_else(String::new, |records| format!("   {records}"));
        let _ =
            writeln!(text, "               {:<32}{}{records}", playback(elsewhere.playback), kept(elsewhere));
    }
    text
}
