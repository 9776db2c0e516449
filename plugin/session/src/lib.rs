//! Meaning: what a song's readings and cells add up to, and what a yardstick says of them.
//!
//! Plain values in, plain values out: no I/O, no thread, no clock of its own. Time is passed in.

pub mod candle;
pub mod comparison;
pub mod desk;
pub mod figures;
mod song_cells;
mod song_loudness;
pub mod statistics;
mod stretches;
pub mod strip;
pub mod view;
pub mod yardstick;
