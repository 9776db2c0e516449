//! The song strip: the latest pass, the one before, what is not heard, and positions that are times.

use candlemark_analysis::{Place, Power};

use super::*;
use crate::a_cell::a_cell;
use crate::desk::Desk;

const RATE: Hertz = Hertz(48_000.0);

/// A cell of one second of the same sound in both channels, K-weighted to `lufs`, that begins `start_s` after the
/// Analyzer did.
fn cell(index: i64, pass: u32, lufs: f64, start_s: u64) -> Cell {
    // ITU-R BS.1770-5: loudness is −0.691 + 10 lg of the powers' sum over channels.
    let power = 10f64.powf((lufs + 0.691) / 10.0) / 2.0;
    Cell {
        by_beats: false,
        place: Place { pass, song_s: (index + 1) as f64, ..Place::default() },
        start_frame: start_s * 48_000,
        weighted: Power { left: power, right: power, mid: power },
        ..a_cell(index, |_| lufs)
    }
}

fn desk(cells: impl IntoIterator<Item = Cell>) -> Desk {
    let mut desk = Desk::of_song(RATE, Channels::Stereo);
    cells.into_iter().for_each(|cell| desk.take_cell(&cell));
    desk
}

/// The mean of levels of equal length, as powers.
fn mean(levels: &[f64]) -> f64 {
    let powers: f64 = levels.iter().map(|db| 10f64.powf(db / 10.0)).sum();
    10.0 * (powers / levels.len() as f64).log10()
}

#[test]
fn both_passes_are_told_over_the_same_three_seconds() {
    let first = [-20.0, -22.0, -18.0, -24.0, -21.0];
    let second = [-19.0, -21.0, -20.0];
    let one = first.iter().zip(0..).map(|(lufs, index)| cell(index, 1, *lufs, 100 + index as u64));
    // The second pass begins at the third cell.
    let two = second.iter().zip(2..).map(|(lufs, index)| cell(index, 2, *lufs, 200 + index as u64));
    let strip = desk(one.chain(two)).strip();
    assert_eq!(strip.len(), 5);
    let close = |got: Option<Lufs>, wanted: f64| {
        let got = got.unwrap().0;
        assert!((got - wanted).abs() < 1e-9, "{got} is not {wanted}");
    };
    close(strip[4].latest, mean(&second));
    close(strip[4].before, mean(&first[2..5]));
    // Where the pass before filled less of the three seconds, it is told over what it filled.
    close(strip[3].latest, mean(&[first[1], second[0], second[1]]));
    close(strip[3].before, mean(&first[2..4]));
    close(strip[2].before, first[2]);
    assert_eq!([strip[0].before, strip[1].before], [None; 2]);
}

#[test]
fn what_was_not_heard_has_no_point() {
    let strip = desk([0, 1, 5, 6].map(|index| cell(index, 1, -20.0, 100 + index as u64))).strip();
    let ends: Vec<f64> = strip.iter().map(|point| point.song_s).collect();
    assert_eq!(ends, [1.0, 2.0, 6.0, 7.0]);
}

#[test]
fn without_a_position_the_last_ten_minutes_are_shown() {
    let cells = (0..700).map(|index| cell(index, 1, -20.0, index as u64));
    let desk = desk(cells);
    assert!(desk.is_by_time());
    let strip = desk.strip();
    assert_eq!(strip.len() as f64, LATEST_S);
    assert_eq!(strip.last().unwrap().song_s, 700.0);
    assert_eq!(strip[0].song_s, 101.0);
}

#[test]
fn with_a_position_the_whole_song_is_shown() {
    // The song began ten seconds after the Analyzer.
    let desk = desk((0..700).map(|index| cell(index, 1, -20.0, 10 + index as u64)));
    assert!(!desk.is_by_time());
    assert_eq!(desk.strip().len(), 700);
}
