//! What the tests of this room show: a point of the strip, a band with its records, and a pencil mark.

use candlemark_analysis::{Hertz, Lufs};
use candlemark_session::comparison::BandComparison;
use candlemark_session::figures::{BandFigures, Fold};
use candlemark_session::pencil::{MetersRead, PencilMark, SongPlace};
use candlemark_session::strip::StripPoint;

/// A second of the song that ends here, at −20 LUFS; mono keeps nothing of it.
pub(crate) fn point(song_s: f64) -> StripPoint {
    let latest = Some(Lufs(-20.0));
    StripPoint { song_s, cell_s: 1.0, latest, mono: None, before: None, over: false, aside: false }
}

/// A band of which mono keeps so much.
pub(crate) fn band(hz: f64, kept: Option<f64>) -> BandFigures {
    let (nominal, fold) = (Hertz(hz), Fold { kept });
    BandFigures { nominal, level: None, relative: None, fold, correlation: None }
}

/// A band that lies where three records lie, and the lowest fold that they tell.
pub(crate) fn records(hz: f64, fold_low_db: Option<f64>) -> BandComparison {
    BandComparison {
        nominal: Hertz(hz),
        off_db: 0.0,
        low_db: 0.0,
        high_db: 0.0,
        within_low_db: 0.0,
        within_high_db: 0.0,
        fold_low_db,
        records: 3,
        outside: false,
    }
}

/// A mark that is not dealt with, without a note and without figures.
pub(crate) fn mark(number: u32, song_s: f64) -> PencilMark {
    PencilMark {
        number,
        listen: 1,
        made_unix_s: 0.0,
        at: SongPlace { song_s, beats: None },
        read: MetersRead::default(),
        note: String::new(),
        dealt_with: false,
    }
}
