//! A reading for tests to write into.

use candlemark_analysis::{Analyzer, Channels, Hertz, Position, Reading};

use crate::desk::Desk;

/// The first reading of silence on a stereo bus.
pub(crate) fn a_reading() -> Reading {
    let rate = Hertz(48_000.0);
    let mut analyzer = Analyzer::new(rate, Channels::Stereo).expect("it can be measured at");
    let mut desk = Desk::of_song(rate, Channels::Stereo);
    let silence = vec![0.0; 4_864];
    analyzer.push(&silence, &silence, Position::UNKNOWN, &mut desk);
    *desk.last_reading().expect("a tenth of a second was pushed")
}
