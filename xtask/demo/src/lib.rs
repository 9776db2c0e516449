//! The demo: invented music with planted faults through the built plugin, and what the meter says of it.

pub mod arguments;
mod listening;
pub mod music;
mod page;
mod picture;
pub mod place;
mod planted;
mod player;
mod run;
mod window;
mod yardstick;

pub use run::run;
