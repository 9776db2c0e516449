//! The way from the audio thread to everyone else, without a lock.
//!
//! One [`Tape`] belongs to each instance of the plugin. The audio thread writes what the Analyzer gives to
//! its [`TapeWriter`]; anyone reads it through a [`TapeReader`], as late as he likes: nothing that he does
//! can hold up the writer. A reader that comes too late for a record learns so, and never gets a torn one.
//!
//! All lock-free code of the project is in [`ring`]; the rest of this room says which words a record has.

mod activation;
mod levels;
mod oddities;
pub mod ring;
mod tape;
mod taped_cell;
mod taped_reading;
mod trace;
mod words;

pub use activation::Activation;
pub use oddities::{Oddities, Oddity};
pub use tape::{CellFollower, ReadingFollower, Tape, TapeReader, TapeWriter};
pub use taped_cell::TapedCell;
pub use taped_reading::TapedReading;
pub use trace::Trace;
