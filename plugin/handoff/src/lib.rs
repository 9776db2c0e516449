//! The ways from the audio thread to everyone else and back, without a lock.
//!
//! One [`Tape`] belongs to each instance of the plugin. The audio thread writes what the Analyzer gives to
//! its [`TapeWriter`]; anyone reads it through a [`TapeReader`], as late as he likes: nothing that he does
//! can hold up the writer. A reader that comes too late for a record learns so, and never gets a torn one.
//!
//! The other way go the [`orders()`]: what a person wants of the audio thread at this moment. Whether an
//! [`Audition`] that was ordered may sound is for [`Release`] to say, block for block, and [`Fader`] plays it.
//!
//! All lock-free code of the project is in [`ring`] and in the orders, and is modelled with loom; the rest of
//! this room says which words a record has.

mod activation;
mod atomics;
mod audition;
mod gain;
mod levels;
mod oddities;
mod orders;
pub mod ring;
mod tape;
mod taped_cell;
mod taped_reading;
mod words;

pub use activation::Activation;
pub use audition::{
    Audition, BEAT_LATE_MS, Fader, LONGEST_S, Moment, NOISE_A_WEIGHTED_DB, NOISE_LONGEST_S, Release, Sound,
};
pub use gain::Gain;
pub use oddities::{Oddities, Oddity};
pub use orders::{AuditionOrder, OrderReceiver, OrderSender, Orders, orders};
pub use tape::{CellFollower, ReadingFollower, Tape, TapeReader, TapeWriter};
pub use taped_cell::TapedCell;
pub use taped_reading::TapedReading;
