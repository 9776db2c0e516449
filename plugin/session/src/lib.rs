//! Meaning: what a song's readings and cells add up to, and what a yardstick says of them.
//!
//! Plain values in, plain values out: no I/O, no thread, no clock of its own. Time is passed in.

#[cfg(test)]
mod a_cell;
#[cfg(test)]
mod a_reading;
#[cfg(test)]
mod a_record;
pub mod a_weighting;
pub mod as_heard;
pub mod bus_processing;
pub mod candle;
pub mod chair;
pub mod comparison;
pub mod delivery;
pub mod desk;
mod distance;
pub mod drift;
pub mod ear_match;
pub mod edges;
pub mod elsewhere;
pub mod exposure;
mod falls_away;
pub mod figures;
mod health_tally;
mod health_words;
pub mod lights_out;
pub mod octave_groups;
mod one_sided;
pub mod pencil;
pub mod prints;
pub mod remarks;
pub mod room;
pub mod side_by_side;
mod song_cells;
mod song_chunks;
pub mod song_page;
pub mod statistics;
mod stretches;
pub mod strip;
pub mod taking;
pub mod two_yardsticks;
pub mod view;
pub mod words;
pub mod yardstick;
