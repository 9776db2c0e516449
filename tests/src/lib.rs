//! What the tests over several rooms share.

pub mod accuracy;
pub mod audition;
pub mod chance;
pub mod clap_host;
pub mod command;
pub mod endurance;
pub mod hosting;
pub mod kept;
pub mod material;
pub mod measured;
pub mod own_process;
pub mod passing;
pub mod paths;
pub mod picture;
pub mod read_out;
pub mod saving;
pub mod signals;
pub mod song;
pub mod sound;
pub mod spectrum;
pub mod states;
pub mod taken;
pub mod x11;
