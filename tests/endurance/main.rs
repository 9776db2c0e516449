//! What lasts: through a host that dies, and over a long time.

mod day;
mod killed;
