//! One allocation on the audio thread, on demand: it shows that the trap for allocations is set.
//!
//! Debug builds alone have the trap, and the bait.

/// The environment variable that lays the bait.
const VARIABLE: &str = "CANDLEMARK_BAIT_ALLOCATION";

/// Whether the bait is laid. Not for the audio thread.
pub(crate) fn is_laid() -> bool {
    std::env::var_os(VARIABLE).is_some()
}

/// Allocates.
pub(crate) fn take() {
    drop(std::hint::black_box(Vec::<u8>::with_capacity(1)));
}
