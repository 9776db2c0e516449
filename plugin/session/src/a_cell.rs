//! A cell for tests to write into.

use candlemark_analysis::{BandPower, BandPowers, Cell, Channels, Place, Power};

/// A second of a stereo bus of which each band has this level in dB in both channels.
pub(crate) fn a_cell(index: i64, levels_db: impl Fn(usize) -> f64) -> Cell {
    let bands: BandPowers = std::array::from_fn(|band| {
        let power = 10f64.powf(levels_db(band) / 10.0) as f32;
        BandPower { left: power, right: power, mid: power }
    });
    let sum: f64 = bands.iter().map(|band| f64::from(band.left)).sum();
    let power = Power { left: sum, right: sum, mid: sum };
    Cell {
        channels: Channels::Stereo,
        index,
        by_beats: true,
        place: Place::default(),
        start_frame: 0,
        frames: 48_000,
        coverage: 1.0,
        weighted: power,
        plain: power,
        short_term_power: 2.0 * sum,
        true_peak_3s: 0.5,
        true_peak: 0.5,
        bands,
    }
}
