//! The built CLAP plugin in a host.

mod allocations;
mod audition;
mod bit_exact;
mod description;
mod endurance;
mod hundred;
mod memory;
mod music;
mod odd_hosts;
mod openings;
mod session;
mod state;
mod transport;
mod window;

use candlemark_tests::{clap_host as host, material};
