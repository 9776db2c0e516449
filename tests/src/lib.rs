//! What the tests over several rooms share.

pub mod measured;
pub mod paths;
pub mod signals;
