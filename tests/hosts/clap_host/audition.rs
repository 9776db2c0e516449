//! Auditions held in the plugin's window, in a CLAP host.

use candlemark_tests::audition::{sounds_only_while_it_may, the_noise_sounds_only_while_it_is_held};

use crate::host::Instance;

#[test]
fn an_audition_sounds_only_while_it_may() {
    sounds_only_while_it_may::<Instance>("audition::an_audition_sounds_only_while_it_may");
}

#[test]
fn the_noise_sounds_only_while_it_is_held_and_is_what_it_says() {
    let name = "audition::the_noise_sounds_only_while_it_is_held_and_is_what_it_says";
    the_noise_sounds_only_while_it_is_held::<Instance>(name);
}
