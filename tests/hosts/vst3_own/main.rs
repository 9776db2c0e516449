//! The built VST3 plugin in a host of our own, which does what other hosts do in their order: renders between
//! playbacks, states, parameters, and the editor in a window.
//!
//! For Linux: elsewhere the format's entry points, run loop and windows are others.
#![cfg(target_os = "linux")]

mod allocations;
mod application;
mod audition;
mod bit_exact;
mod changes;
mod description;
mod editor;
mod endurance;
mod instance;
mod module;
mod parameters;
mod playback;
mod renders;
mod run_loop;
mod settings;
mod state;
mod stream;
mod transport;
mod window;

use candlemark_tests::material;
