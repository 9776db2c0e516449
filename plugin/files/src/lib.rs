//! Files: the decoding of sound files, and the shelf on which a person's yardsticks are kept.
//!
//! A [`SoundFile`] is read block by block, so that memory does not grow with its length; a [`Shelf`] keeps
//! one yardstick a file, as text that a person can read. Whatever can be wrong with a file is a
//! [`FileError`]: it says what is wrong, where, and what to do, and never takes the program down.

mod bytes_at;
mod damage;
mod decode;
mod deliveries;
mod delivery_toml;
mod edit_list;
mod error;
mod file_info;
mod fingerprint;
mod guard;
mod home;
pub mod journal;
pub mod kept;
mod many;
mod measure;
mod mpeg_tail;
mod open;
mod prints;
pub mod sheet;
mod shelf;
mod small_text;
mod sniff;
mod source;
mod taking;
#[cfg(test)]
mod test_sounds;
mod text_fault;
mod text_format;
mod told_apart;
mod wave_layout;
mod written;
mod yardstick_figures;
mod yardstick_name;
mod yardstick_toml;

pub use decode::{Block, SoundFile};
pub use deliveries::Delivery;
pub use delivery_toml::delivery_of_toml;
pub use error::FileError;
pub use file_info::FileInfo;
pub use many::measure_all;
pub use measure::{Measured, measure, measure_while};
pub use prints::{Prints, compare_prints};
pub use shelf::{Shelf, ShelfEntry, load_path};
pub use taking::take;
pub use text_fault::TextFault;
pub use told_apart::told_apart;
pub use yardstick_name::NameFault;
pub use yardstick_toml::{from_toml, to_toml};
