//! The plugin, as CLAP and as VST3. It passes sound through bit for bit, but for an audition while a person asks for
//! one, and measures it on the way.
//!
//! The host's audio thread feeds the Analyzer and writes what it gives to the tape; everything else reads
//! the tape. Nothing that runs on the audio thread here allocates, locks, makes a system call or panics. (A
//! debug build aborts when anything allocates inside `process`.) What the framework itself does there stands
//! in the project's `docs/decisions`.

mod asking;
mod auditions;
#[cfg(debug_assertions)]
mod bait;
mod bus;
mod editor;
mod frames;
mod framework;
mod instance;
mod keeping;
mod lock;
mod meter;
mod parameters;
mod saved_format;
mod saved_look;
mod saved_once;
mod saved_yardstick;
mod transport;
mod untold;
mod window;

pub use editor::MeterEditor;
pub use meter::Meter;
