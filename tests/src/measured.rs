//! Sound put through the Analyzer and the Desk, as a file is.

use candlemark_analysis::{Analyzer, Cell, Channels, Hertz, Position, Reading, Sink};
use candlemark_session::desk::Desk;
use candlemark_session::figures::SongFigures;

/// All that was given of a signal.
#[derive(Default)]
pub struct Heard {
    /// Readings in order.
    pub readings: Vec<Reading>,
    /// Cells in order.
    pub cells: Vec<Cell>,
}

impl Sink for Heard {
    fn reading(&mut self, reading: &Reading) {
        self.readings.push(*reading);
    }

    fn cell(&mut self, cell: &Cell) {
        self.cells.push(*cell);
    }
}

impl Heard {
    /// A stereo signal, heard as a file in blocks of 512 frames.
    pub fn stereo(rate: f64, left: &[f32], right: &[f32]) -> Self {
        Self::in_blocks(rate, Channels::Stereo, left, right, &[512])
    }

    /// A mono signal, heard as a file.
    pub fn mono(rate: f64, samples: &[f32]) -> Self {
        Self::in_blocks(rate, Channels::Mono, samples, samples, &[512])
    }

    /// A signal, heard as a file in blocks whose sizes take turns.
    pub fn in_blocks(rate: f64, channels: Channels, left: &[f32], right: &[f32], sizes: &[usize]) -> Self {
        let mut heard = Self::default();
        let mut analyzer = Analyzer::new(Hertz(rate), channels).expect("the rate is supported");
        let (mut at, mut turn) = (0, 0);
        while at < left.len() {
            let end = (at + sizes[turn % sizes.len()]).min(left.len());
            analyzer.push(&left[at..end], &right[at..end], Position::in_file(at as i64), &mut heard);
            at = end;
            turn += 1;
        }
        analyzer.finish(&mut heard);
        heard
    }

    /// What the Desk says of it.
    pub fn figures(&self, rate: f64) -> SongFigures {
        let channels = self.readings[0].channels;
        let mut desk = Desk::of_file(Hertz(rate), channels);
        self.readings.iter().for_each(|reading| desk.take_reading(reading));
        self.cells.iter().for_each(|cell| desk.take_cell(cell));
        desk.figures()
    }

    /// The last reading.
    pub fn last(&self) -> &Reading {
        self.readings.last().expect("a file always ends with a reading")
    }
}
