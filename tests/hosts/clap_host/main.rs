//! The built CLAP plugin in a host.

mod allocations;
mod bit_exact;
mod description;
mod host;
mod material;
mod music;
mod odd_hosts;
mod state;
mod transport;
mod window;
