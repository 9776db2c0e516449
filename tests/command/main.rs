//! The built `candlemark` command, from outside: what it prints, what it says, and how it ends.

mod albums;
mod bad_sounds;
mod bad_yardsticks;
#[cfg(target_os = "linux")]
mod changing;
mod deliveries;
mod files;
#[cfg(target_os = "linux")]
mod full_disks;
mod help;
mod json_shape;
mod known_signals;
mod memory;
mod moved_yardsticks;
#[cfg(unix)]
mod names;
mod odd_sounds;
mod ordered_json;
mod own_yardstick;
mod prints;
mod remarks;
mod rooms;
mod sheet_balance;
mod sheet_files;
mod sheets;
mod streams;
mod two_yardsticks;
