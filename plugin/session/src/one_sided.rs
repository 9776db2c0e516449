//! The longest stretch in which one side is digital silence while the other plays.

use candlemark_analysis::{Cell, Hertz, LoudnessHistogram};

use crate::figures::{OneSided, SilentSide};
use crate::song_cells::key_of;
use crate::stretches::{follows, start_s};

/// Looks for it among a song's filled cells, in order.
pub(crate) fn one_sided(cells: &[&Cell], rate: Hertz) -> Option<OneSided> {
    let silent = |cell: &Cell| {
        let plays = cell.loudness_power() > LoudnessHistogram::ABSOLUTE_GATE.power();
        SilentSide::of(cell.plain).filter(|_| plays)
    };
    let rows = cells.chunk_by(|a, b| follows(key_of(a), key_of(b)) && silent(a) == silent(b));
    rows.filter_map(|row| {
        let (first, last) = (row.first()?, row.last()?);
        let at_s = start_s(first, rate);
        Some(OneSided { silent: silent(first)?, length_s: last.place.song_s - at_s, at_s: at_s.max(0.0) })
    })
    .max_by(|a, b| a.length_s.total_cmp(&b.length_s))
}
