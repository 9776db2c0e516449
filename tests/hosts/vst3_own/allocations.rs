//! Nothing allocates while sound is processed: the debug build of the plugin aborts its host where anything does, so
//! every playback here is a test of that. So that nobody trusts a trap that isn't set, the plugin takes a bait when
//! it is told to.

use candlemark_tests::passing;

use crate::instance::Instance;

#[test]
fn a_little_sound() {
    passing::a_little_sound::<Instance>();
}

#[test]
fn the_trap_is_set() {
    passing::the_trap_is_set("allocations::a_little_sound");
}
