//! What comes out is what went in, to the last bit.

use candlemark_tests::material::noises;
use candlemark_tests::passing::{self, PLACEMENTS, Passes as _};

use crate::host::{Instance, Placement};

#[test]
fn at_every_block_size() {
    passing::at_every_block_size::<Instance>();
}

#[test]
fn at_every_sample_rate_one_after_the_other() {
    let rates = [
        8000.0, 384_000.0, 11_025.0, 352_800.0, 22_050.0, 192_000.0, 44_100.0, 176_400.0, 48_000.0, 96_000.0,
        88_200.0, 44_100.0, 44_100.0, 44_055.944,
    ];
    for channels in [1, 2] {
        let mut instance = Instance::new(channels);
        for (seed, rate) in (1..).zip(rates) {
            instance.activate(rate);
            // A second of sound and a bit, so that chunks and cells end in it.
            let frames = (rate * 1.2) as usize;
            let input = noises(channels, seed, frames);
            let what = format!("{channels} channels at {rate} Hz");
            instance.passes(&input, &[512, 480, 33], PLACEMENTS[seed as usize % 2], &what);
        }
    }
}

#[test]
fn where_it_cannot_measure() {
    let mut instance = Instance::new(2);
    for rate in [1.0, 4000.0, 7999.0, 384_001.0, 768_000.0, 48_000.0] {
        instance.activate(rate);
        let input = noises(2, 9, 10_000);
        instance.passes(&input, &[512], Placement::InPlace, &format!("at {rate} Hz"));
    }
}

#[test]
fn from_mono_to_stereo_and_back() {
    passing::from_mono_to_stereo_and_back::<Instance>();
}

#[test]
fn of_silence_full_scale_and_samples_that_are_none() {
    passing::of_silence_full_scale_and_samples_that_are_none::<Instance>();
}

#[test]
fn in_two_instances_at_once() {
    passing::in_two_instances_at_once::<Instance>();
}

#[test]
fn in_instances_that_come_and_go() {
    passing::in_instances_that_come_and_go::<Instance>();
}
