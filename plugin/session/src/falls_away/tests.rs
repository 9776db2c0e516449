//! The low end along songs that are written down cell by cell.

use candlemark_analysis::Place;
use proptest::prelude::*;

use super::*;
use crate::a_cell::a_cell;
use crate::song_cells::SongCells;

const RATE: Hertz = Hertz(48_000.0);
const GATE: f64 = 1e-7;

/// A cell of a second in which mono keeps this share of the low end and all of the rest. `None` is silence.
fn cell(index: i64, low_kept: Option<f64>) -> Cell {
    let level_db = if low_kept.is_some() { -30.0 } else { f64::NEG_INFINITY };
    let mut cell = a_cell(index, |_| level_db);
    for band in &mut cell.bands[LOW_END] {
        band.mid *= low_kept.unwrap_or(1.0) as f32;
    }
    let place = Place { pass: 1, song_s: index as f64 + 1.0, ..Place::default() };
    Cell { by_beats: false, place, ..cell }
}

/// The low end of a song whose cells keep these shares; a cell that is not there was not heard.
fn low_end_of(cells: impl IntoIterator<Item = (i64, Option<f64>)>) -> Option<LowEnd> {
    let mut song = SongCells::default();
    for (index, kept) in cells {
        song.take(&cell(index, kept));
    }
    let stretches = song.stretches(10.0, RATE);
    let mut whole = Sound::default();
    let heard = song.cells().map(|heard| &heard.cell);
    heard.filter(|cell| cell.loudness_power() > GATE).for_each(|cell| whole.add(cell));
    low_end(&whole.mean(), &stretches, GATE, RATE)
}

/// Seconds at a time, with what is kept in them.
fn song(parts: &[(i64, f64)]) -> Option<LowEnd> {
    let shares = parts.iter().flat_map(|(seconds, kept)| (0..*seconds).map(|_| Some(*kept)));
    low_end_of((0..).zip(shares))
}

fn place(parts: &[(i64, f64)]) -> (Option<f64>, Option<f64>) {
    let falls = song(parts).expect("there is a low end").falls;
    (falls.at_s, falls.until_s)
}

#[test]
fn a_stretch_is_told_from_where_it_begins() {
    assert_eq!(place(&[(60, 1.0), (40, 0.1)]), (Some(60.0), None));
    assert_eq!(place(&[(60, 1.0), (40, 0.5)]), (Some(60.0), None));
    assert_eq!(place(&[(30, 0.9), (25, 0.2), (40, 0.9)]), (Some(30.0), Some(55.0)));
    // Only the first of two.
    assert_eq!(place(&[(30, 1.0), (25, 0.2), (40, 1.0), (30, 0.1)]), (Some(30.0), Some(55.0)));
}

#[test]
fn where_there_is_no_beginning_none_is_told() {
    let nowhere = (None, None);
    assert_eq!(place(&[(100, 1.0)]), nowhere, "it does not fall away");
    assert_eq!(place(&[(100, 0.3)]), nowhere, "all of it does");
    assert_eq!(place(&[(9, 1.0), (80, 0.3)]), nowhere, "too little came before");
    assert_eq!(place(&[(7, 1.0), (80, 0.3)]), nowhere, "too little came before");
    assert_eq!(place(&[(50, 0.6), (50, 0.1)]), nowhere, "what came before falls away too");
    assert_eq!(place(&[(50, 0.75), (50, 0.6)]), nowhere, "it is little less than before");
    assert_eq!(place(&[(50, 1.0), (19, 0.1), (50, 1.0)]), nowhere, "it is short");
}

#[test]
fn a_short_stretch_does_not_hide_a_long_one() {
    assert_eq!(place(&[(40, 1.0), (12, 0.1), (40, 1.0), (40, 0.1)]), (Some(92.0), None));
}

#[test]
fn silence_in_between_ends_nothing() {
    let kept = |second: i64| match second {
        0..40 => Some(1.0),
        60..63 => None,
        _ => Some(0.1),
    };
    let low = low_end_of((0..100).map(|second| (second, kept(second)))).unwrap();
    assert_eq!((low.falls.at_s, low.falls.until_s), (Some(40.0), None));
}

#[test]
fn the_figures_are_those_of_the_stretch_and_of_the_whole() {
    let low = song(&[(50, 1.0), (50, 0.2)]).unwrap();
    assert!((low.fold.kept.unwrap() - 0.6).abs() < 1e-6);
    assert!((low.falls.fold.kept.unwrap() - 0.2).abs() < 1e-6);
    assert_eq!(low.above_fold.kept, Some(1.0));
    assert_eq!(low.falls.bands_hz, [20.0, 100.0]);
    assert!((low.power_share - 8.0 / 31.0).abs() < 1e-6);
}

#[test]
fn bands_that_fall_away_above_the_low_end_are_named_with_it() {
    let mut song = SongCells::default();
    let mut whole = Sound::default();
    for index in 0..20 {
        let mut cell = cell(index, Some(0.3));
        // 125 and 160 Hz fall away as well, 200 Hz by no more than is ordinary; 20 and 25 Hz are hardly there.
        for (band, kept) in [(8, 0.3), (9, 0.39), (10, 0.5)] {
            cell.bands[band].mid = kept * cell.bands[band].left;
        }
        for band in &mut cell.bands[..2] {
            (band.left, band.right, band.mid) = (0.02 * band.left, 0.02 * band.right, 0.02 * band.mid);
        }
        song.take(&cell);
        whole.add(&cell);
    }
    let low = low_end(&whole.mean(), &song.stretches(10.0, RATE), GATE, RATE).unwrap();
    assert_eq!(low.falls.bands_hz, [31.5, 160.0]);
}

proptest! {
    /// Whatever was heard, in whatever order and with whatever holes, a place lies where something was heard.
    #[test]
    fn a_place_lies_in_the_song(
        cells in prop::collection::vec((0..90i64, prop::option::weighted(0.9, 0.0..1.0f64)), 0..120),
    ) {
        let last_s = cells.iter().map(|(index, _)| index + 1).max().unwrap_or(0) as f64;
        let Some(low) = low_end_of(cells) else { return Ok(()) };
        let FallsAway { bands_hz: [low_hz, high_hz], at_s, until_s, fold } = low.falls;
        prop_assert!(low_hz <= high_hz && low_hz <= 100.0);
        prop_assert!(fold.kept.is_some_and(|kept| (0.0..=1.0).contains(&kept)));
        let at_s = at_s.unwrap_or(0.0);
        prop_assert!((0.0..=last_s).contains(&at_s) && until_s.is_none_or(|until| until > at_s && until <= last_s));
    }

    /// The same of songs that fall away and come back, which random cells seldom do for long.
    #[test]
    fn a_place_lies_in_a_song_of_parts(
        parts in prop::collection::vec((1..40i64, prop::sample::select(vec![0.0, 0.2, 0.5, 0.69, 0.72, 0.9, 1.0])), 1..8),
    ) {
        let last_s = parts.iter().map(|(seconds, _)| seconds).sum::<i64>() as f64;
        let falls = song(&parts).expect("there is a low end").falls;
        let at_s = falls.at_s.unwrap_or(0.0);
        prop_assert!((0.0..=last_s).contains(&at_s));
        prop_assert!(falls.until_s.is_none_or(|until_s| until_s - at_s >= LONG_S && until_s <= last_s));
    }
}
