//! The clerk: one thread in a process, for all instances of the plugin in it.
//!
//! Ten times a second it reads every instance's tape, lets the instance's Desk take in what is new, and publishes
//! what there is to show. It does what work there is with files, so that neither the audio thread nor the host's
//! own threads ever wait for a disk. It starts with the first [`Seat`] and ends with the last; whether an editor
//! is open does not matter to it.

mod folders;
mod keeper;
mod level_match;
mod moment;
mod office;
mod order;
mod pace;
mod pages;
mod print_sheet;
mod published;
mod read_out;
mod record_desk;
mod shown;
mod sittings;
mod song;
mod table;
mod taking;
mod takings;
mod understood;

pub use keeper::{Keeper, Told};
pub use office::Seat;
pub use order::Order;
pub use read_out::{READ_OUT_VARIABLE, ReadOut};
pub use shown::Shown;
