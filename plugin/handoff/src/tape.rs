//! The tape: the rings of one instance of the plugin, written as one and read as one.

use std::sync::Arc;

use candlemark_analysis::{Cell, Channels, Hertz, Reading, Sink};

use crate::activation::ACTIVATION_WORDS;
use crate::ring::{Follower, Reader, Writer, ring};
use crate::taped_cell::CELL_WORDS;
use crate::taped_reading::READING_WORDS;
use crate::{Activation, Oddities, TapedCell, TapedReading};

/// Whole readings: 50 s, so that nobody who polls ten times a second misses one, even when the machine
/// stands still for a while, or a render runs at hundreds of times the pace of time.
const READINGS: usize = 512;
/// Cells: four hours of cells of one second, two quarter notes at 120 a minute.
const CELLS: usize = 4 * 60 * 60;
/// Activations: only the last counts, and hosts may prepare several times in a row.
const ACTIVATIONS: usize = 16;

/// One instance's tape.
pub struct Tape;

impl Tape {
    /// Makes a tape: the one end to write to and an end to read from.
    #[expect(clippy::new_ret_no_self, reason = "a tape is nothing but its two ends")]
    pub fn new() -> (TapeWriter, TapeReader) {
        let (readings, readings_out) = ring(READINGS);
        let (cells, cells_out) = ring(CELLS);
        let (activations, activations_out) = ring(ACTIVATIONS);
        let oddities = Arc::new(Oddities::default());
        (
            TapeWriter {
                readings,
                cells,
                activations,
                activation: Activation::NONE,
                passes_before: 0,
                last_pass: 0,
                oddities: Arc::clone(&oddities),
            },
            TapeReader { readings: readings_out, cells: cells_out, activations: activations_out, oddities },
        )
    }
}

/// The end of the tape that the audio thread writes to. It takes what an
/// [`Analyzer`](candlemark_analysis::Analyzer) gives, and outlives Analyzers.
///
/// # Realtime safety
///
/// Nothing here allocates, locks, waits or panics.
pub struct TapeWriter {
    readings: Writer<TapedReading, READING_WORDS>,
    cells: Writer<TapedCell, CELL_WORDS>,
    activations: Writer<Activation, ACTIVATION_WORDS>,
    activation: Activation,
    /// Passes of the Analyzers before the present one.
    passes_before: u32,
    /// Largest number of a pass, counted over the tape.
    last_pass: u32,
    oddities: Arc<Oddities>,
}

impl TapeWriter {
    /// Notes that the host has set the plugin up, and that what follows comes from a new Analyzer.
    pub fn activate(&mut self, sample_rate: Hertz, channels: Channels) {
        self.activation =
            Activation { number: self.activation.number.wrapping_add(1), sample_rate, channels };
        self.passes_before = self.last_pass;
        self.activations.push(&self.activation);
    }

    /// Where to count what the host does oddly.
    pub fn oddities(&self) -> &Oddities {
        &self.oddities
    }

    /// An Analyzer counts its passes from 1; on the tape no number comes twice.
    fn pass_on_tape(&mut self, pass: u32) -> u32 {
        if pass == 0 {
            return 0;
        }
        let pass = self.passes_before.saturating_add(pass);
        self.last_pass = self.last_pass.max(pass);
        pass
    }
}

impl Sink for TapeWriter {
    fn reading(&mut self, reading: &Reading) {
        let mut reading = *reading;
        reading.place.pass = self.pass_on_tape(reading.place.pass);
        self.readings.push(&TapedReading { activation: self.activation, reading });
    }

    fn cell(&mut self, cell: &Cell) {
        let mut cell = *cell;
        cell.place.pass = self.pass_on_tape(cell.place.pass);
        self.cells.push(&TapedCell { activation: self.activation.number as u16, cell });
    }
}

/// An end of the tape to read from; clone it for each reader.
#[derive(Clone)]
pub struct TapeReader {
    /// The last 50 s of whole readings.
    pub readings: Reader<TapedReading, READING_WORDS>,
    /// Four hours of cells.
    pub cells: Reader<TapedCell, CELL_WORDS>,
    activations: Reader<Activation, ACTIVATION_WORDS>,
    oddities: Arc<Oddities>,
}

/// Goes through the whole readings in order; see [`Follower`].
pub type ReadingFollower = Follower<TapedReading, READING_WORDS>;
/// Goes through the cells in order; see [`Follower`].
pub type CellFollower = Follower<TapedCell, CELL_WORDS>;

impl TapeReader {
    /// How the host has set the plugin up last; `None` before it has.
    pub fn activation(&self) -> Option<Activation> {
        self.activations.latest()
    }

    /// What the host did oddly.
    pub fn oddities(&self) -> &Oddities {
        &self.oddities
    }
}

#[cfg(all(test, not(loom)))]
mod tests {
    use super::*;

    #[test]
    fn four_hours_stay_under_four_mebibytes() {
        let (_writer, reader) = Tape::new();
        let parts = [reader.readings.bytes(), reader.cells.bytes(), reader.activations.bytes()];
        let bytes: usize = parts.iter().sum();
        println!("readings, cells, activations: {parts:?}, {bytes} bytes in all");
        assert!(bytes < 4 * 1024 * 1024, "{bytes} bytes");
        assert_eq!(reader.cells.bytes(), 14_400 * size_of::<[u32; CELL_WORDS]>());
    }
}
