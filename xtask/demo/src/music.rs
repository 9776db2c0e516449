//! The demo's music: three records and a mix of a small harbour band that does not exist.
//!
//! All of it is invented data, made by arithmetic alone and the same at every run. It is there so that the demo has
//! something to measure, and stands for nobody's music.

mod arrangement;
mod faults;
mod filters;
mod instruments;
mod limiter;
mod master;
mod room;
mod score;
mod songs;
mod spectrum;
mod stereo;
mod tone;
mod wav;

pub use faults::{DRIVEN_DB, LOW_END_HZ, UPPER_MIDS_DB, UPPER_MIDS_HZ};
pub use master::{Made, mix, mix_without_faults, records};
pub use wav::write;

/// Sample rate of all of it, in Hz.
pub const RATE_HZ: f64 = 44_100.0;

/// What the band is called.
pub const BAND: &str = "Ropewalk Lane";

/// So many frames are so many seconds.
fn frames(seconds: f64) -> usize {
    (seconds * RATE_HZ).round() as usize
}

/// A level as a factor of amplitude.
fn amplitude(db: f64) -> f32 {
    10f64.powf(db / 20.0) as f32
}
