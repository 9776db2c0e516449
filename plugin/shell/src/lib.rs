//! The plugin, as CLAP and as VST3. It passes sound through bit for bit and measures it on the way.
//!
//! The host's audio thread feeds the Analyzer and writes what it gives to the tape; everything else reads
//! the tape. Nothing that runs on the audio thread here allocates, locks, makes a system call or panics. (A
//! debug build aborts when anything allocates inside `process`.) What the framework itself does there stands
//! in the project's `docs/decisions`.

#[cfg(debug_assertions)]
mod bait;
mod bus;
mod framework;
mod meter;
mod saved_yardstick;
mod transport;
mod window;
