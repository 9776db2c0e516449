//! Meaning: what a song's readings and cells add up to, and what a yardstick says of them.
//!
//! Plain values in, plain values out: no I/O, no thread, no clock of its own. Time is passed in.

pub mod candle;
pub mod comparison;
pub mod desk;
pub mod drift;
mod falls_away;
pub mod figures;
mod health_tally;
pub mod octave_groups;
mod one_sided;
pub mod remarks;
mod song_cells;
mod song_chunks;
pub mod statistics;
mod stretches;
pub mod strip;
pub mod view;
pub mod words;
pub mod yardstick;
