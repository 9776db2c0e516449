//! A small CLAP host: instances of the built plugin, its window, its state, and sound through it.

mod auditions;
mod callbacks;
mod instance;
mod lasting;
mod playback;
mod project;
mod transport;

pub use crate::passing::{Placement, assert_same};
pub use callbacks::Host;
pub use instance::{ID, Instance, load};
pub use playback::{Batch, Block, Playback, blocks};
pub use project::{framed, with_yardstick};
pub use transport::playing_at;
