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
        self.figures_of(Desk::of_file(Hertz(rate), self.readings[0].channels))
    }

    /// What this Desk says of it.
    pub fn figures_of(&self, mut desk: Desk) -> SongFigures {
        self.readings.iter().for_each(|reading| desk.take_reading(reading));
        self.cells.iter().for_each(|cell| desk.take_cell(cell));
        desk.figures()
    }

    /// The last reading.
    pub fn last(&self) -> &Reading {
        self.readings.last().expect("a file always ends with a reading")
    }
}

/// A transport that stands still.
const STOPPED: Position = Position { playing: Some(false), ..Position::UNKNOWN };

/// A transport that runs, as a host with a tempo tells it.
pub fn playing(beats: f64, tempo_bpm: f64) -> Position {
    Position { playing: Some(true), beats: Some(beats), tempo_bpm: Some(tempo_bpm), ..Position::UNKNOWN }
}

/// Pushes both sides in blocks of so many frames, each with the position of its first frame.
pub fn push(
    analyzer: &mut Analyzer,
    [left, right]: [&[f32]; 2],
    block: usize,
    mut position: impl FnMut(usize) -> Position,
    sink: &mut impl Sink,
) {
    let mut at = 0;
    for (left, right) in left.chunks(block).zip(right.chunks(block)) {
        analyzer.push(left, right, position(at), sink);
        at += left.len();
    }
}

/// A song that is worked on in a host with a transport: an Analyzer, and a Desk that takes what it gives.
pub struct AtWork {
    analyzer: Analyzer,
    /// What has been heard so far.
    pub desk: Desk,
}

impl AtWork {
    /// A song in stereo of which nothing was heard yet.
    pub fn new(rate: f64) -> Self {
        let analyzer = Analyzer::new(Hertz(rate), Channels::Stereo).expect("the rate is supported");
        Self { analyzer, desk: Desk::of_song(Hertz(rate), Channels::Stereo) }
    }

    /// Plays both sides in blocks of so many frames, each with the position of its first frame.
    pub fn play(&mut self, sides: [&[f32]; 2], block: usize, position: impl FnMut(usize) -> Position) {
        push(&mut self.analyzer, sides, block, position, &mut self.desk);
    }

    /// The host stops, and so many frames of silence pass.
    pub fn stop(&mut self, block: usize, frames: usize) {
        let silence = vec![0.0; frames];
        self.play([&silence, &silence], block, |_| STOPPED);
    }
}
