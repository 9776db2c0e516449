//! What the tests over several rooms share.

pub mod command;
pub mod measured;
pub mod paths;
pub mod picture;
pub mod signals;
pub mod sound;
