//! The measures of Candlemark: samples and a position in, [`Reading`]s and [`Cell`]s out.
//!
//! An [`Analyzer`] is made for a sample rate and a channel count, and is then fed blocks of any length with
//! the position of each block's first frame. It gives a [`Reading`] for every 100 ms and a [`Cell`] at each
//! cell's end. What each figure means, its range, what silence and NaN give, and where it comes from stands
//! in the project's `docs/measures.md`.
//!
//! # Realtime safety
//!
//! Everything is allocated in [`Analyzer::new`]. Feeding allocates nothing, takes no lock, makes no system
//! call and cannot panic; its cost does not grow with the length of the session.

// The instruments are compiled anew for each instruction set that the processor may have; what is not
// inlined into that would be compiled for the poorest.
#![allow(clippy::inline_always)]

mod analyzer;
pub mod bands;
mod biquad;
mod build;
mod cells;
mod half_band;
mod health;
mod instruments;
mod k_weighting;
mod kaiser;
mod loudness_histogram;
mod multiply_add;
mod pass;
mod position;
mod reading;
mod sums;
mod third_octaves;
mod transport;
mod true_peak;
mod units;
mod windows;

pub use analyzer::Analyzer;
pub use build::Build;
pub use health::LARGEST_AMPLITUDE;
pub use k_weighting::k_weighting_db;
pub use loudness_histogram::LoudnessHistogram;
pub use position::Position;
pub use reading::{BandPower, BandPowers, Cell, Faults, PassFigures, Place, Power, Reading};
pub use units::{Db, Hertz, Lufs};

/// Frames that are measured together. Blocks are gathered into quanta, so that the figures do not depend on
/// how the host cuts its blocks, and the work of every quantum is alike.
const QUANTUM: usize = 64;

/// One channel or two.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Channels {
    /// One channel.
    Mono,
    /// Left and right.
    Stereo,
}

impl Channels {
    /// How many there are.
    pub const fn count(self) -> usize {
        match self {
            Self::Mono => 1,
            Self::Stereo => 2,
        }
    }
}

/// The sample rate cannot be measured at: it is outside [`Analyzer::RATES`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct UnsupportedRate(pub Hertz);

impl std::fmt::Display for UnsupportedRate {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let (low, high) = (Analyzer::RATES.start() / 1000.0, Analyzer::RATES.end() / 1000.0);
        write!(f, "a sample rate of {} Hz cannot be measured; {low} to {high} kHz can", self.0.0)
    }
}

impl std::error::Error for UnsupportedRate {}

/// Receives what an [`Analyzer`] gives. Called on the thread that feeds the Analyzer.
pub trait Sink {
    /// A chunk of 100 ms has ended.
    fn reading(&mut self, reading: &Reading);
    /// A cell has ended, and the bands' delay has passed.
    fn cell(&mut self, cell: &Cell);
}
