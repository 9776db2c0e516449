//! What is left elsewhere, on a page and for programs.

use std::fmt::Write as _;

use candlemark_session::elsewhere::{Elsewhere, Playback};
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

/// What is left elsewhere, as a part of a page.
pub(crate) fn part(everywhere: &[Elsewhere]) -> String {
    if everywhere.is_empty() {
        return String::new();
    }
    let mut text = String::from("  elsewhere    loudness kept\n");
    for elsewhere in everywhere {
        let records =
            elsewhere.records_words().map_or_else(String::new, |records| format!("   records {records}"));
        let _ = writeln!(
            text,
            "               {:<32}{}{records}",
            elsewhere.playback.words(),
            elsewhere.kept_words()
        );
    }
    text
}
