//! Renders between playbacks. A render must be the very song, whatever was going on before it.
//!
//! The framework has a trap here: `setupProcessing` stores the sample rate and block size together with the process
//! mode of the call *before*, and takes the new mode only then. So the plugin is activated for the first render as
//! for playback, and for the first playback after it as for a render. (The mode that a host gives with each block is
//! not handed on at all.) Nothing in the plugin may lean on being told of a render when it is set up; and these tests
//! change the mode once, twice and not at all between two renders, so that it is told right, wrong and late.

use candlemark_tests::passing::assert_same;

use candlemark_tests::passing::PLACEMENTS;

use crate::instance::Instance;
use crate::material::{noises, spoilt};
use crate::playback::{Placement, blocks};
use crate::settings::Mode;
use crate::transport::playing;

const RATE: f64 = 48_000.0;

/// Sets the instance up for one mode after the other and plays the song from its beginning in each.
fn pass(channels: usize, modes: &[Mode]) {
    let mut instance = Instance::new(channels);
    let frames = RATE as usize * 3;
    for (seed, mode) in (1..).zip(modes) {
        instance.activate_for(*mode, RATE);
        let input = noises(channels, seed, frames);
        let output = instance.play(&input, &playing(frames, RATE), PLACEMENTS[seed as usize % 2]);
        assert_same(&output, &input, &format!("{channels} channels, {mode:?}, number {seed} of {modes:?}"));
    }
}

#[test]
fn a_render_between_two_playbacks() {
    for channels in [1, 2] {
        pass(channels, &[Mode::RealTime, Mode::Offline, Mode::RealTime]);
    }
}

#[test]
fn renders_one_after_the_other() {
    pass(2, &[Mode::Offline, Mode::Offline, Mode::RealTime, Mode::Offline, Mode::Offline, Mode::RealTime]);
}

#[test]
fn processing_ahead() {
    pass(2, &[Mode::RealTime, Mode::Prefetch, Mode::Offline, Mode::Prefetch, Mode::RealTime]);
}

/// Some hosts prepare an instance several times before they play anything.
#[test]
fn prepared_for_one_thing_and_then_for_another() {
    let mut instance = Instance::new(2);
    for modes in [[Mode::Offline, Mode::RealTime], [Mode::RealTime, Mode::Offline]] {
        for mode in modes {
            instance.activate_for(mode, RATE);
        }
        let input = spoilt(2, 6, 50_000);
        let output = instance.play(&input, &playing(50_000, RATE), Placement::InPlace);
        assert_same(&output, &input, &format!("after {modes:?}"));
    }
}

#[test]
fn a_render_at_another_rate_in_other_blocks() {
    let mut instance = Instance::new(2);
    for (seed, (mode, rate, size)) in (1..).zip([
        (Mode::RealTime, 44_100.0, 64),
        (Mode::Offline, 96_000.0, 8192),
        (Mode::RealTime, 44_100.0, 64),
        (Mode::Offline, 44_100.0, 1),
    ]) {
        instance.activate_for(mode, rate);
        let input = noises(2, seed, 60_000);
        let output = instance.play(&input, &blocks(60_000, &[size]), Placement::Separate);
        assert_same(&output, &input, &format!("{mode:?} at {rate} Hz in blocks of {size}"));
    }
}
