//! What comes out is what went in, to the last bit.

use candlemark_tests::material::noises;
use candlemark_tests::passing::assert_same;
use candlemark_tests::passing::{self, PLACEMENTS};

use crate::instance::Instance;
use crate::playback::{Placement, blocks};
use crate::transport::{playing, playing_at};

#[test]
fn at_every_block_size() {
    passing::at_every_block_size::<Instance>();
}

#[test]
fn at_every_sample_rate_one_after_the_other() {
    let rates = [
        8000.0, 384_000.0, 11_025.0, 352_800.0, 22_050.0, 192_000.0, 44_100.0, 176_400.0, 48_000.0, 96_000.0,
        88_200.0, 44_100.0, 44_100.0, 44_055.944, 4000.0, 768_000.0, 48_000.0,
    ];
    for channels in [1, 2] {
        let mut instance = Instance::new(channels);
        for (seed, rate) in (1..).zip(rates) {
            instance.activate(rate);
            // A second of sound and a bit, so that chunks and cells end in it.
            let frames = (rate * 1.2) as usize;
            let input = noises(channels, seed, frames);
            let blocks = if seed % 3 == 0 { playing(frames, rate) } else { blocks(frames, &[512, 480, 33]) };
            let output = instance.play(&input, &blocks, PLACEMENTS[seed as usize % 2]);
            assert_same(&output, &input, &format!("{channels} channels at {rate} Hz"));
        }
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
fn where_the_transport_jumps_stops_and_makes_no_sense() {
    let rate = 48_000.0;
    let frames = rate as usize * 10;
    let mut blocks = blocks(frames, &[256]);
    let tempos = [120.0, 0.0, -120.0, f64::NAN, f64::INFINITY, f64::MAX, f64::MIN_POSITIVE];
    let places = [i64::MIN, i64::MAX, 0, -1, 1 << 60];
    for (index, block) in blocks.iter_mut().enumerate() {
        let mut transport = playing_at(index as i64 * 256, rate, 90.0);
        match index / 100 % 6 {
            1 => transport.state = 0,
            2 => transport.projectTimeSamples += index as i64 * 48_000,
            3 => transport.projectTimeMusic = -(index as f64),
            4 => {
                transport.tempo = tempos[index % tempos.len()];
                transport.projectTimeMusic = tempos[index / 7 % tempos.len()];
                transport.projectTimeSamples = places[index % places.len()];
                transport.timeSigDenominator = 0;
            }
            _ => {}
        }
        block.transport = (index / 100 % 6 != 5 || index % 3 == 0).then_some(transport);
    }
    let mut instance = Instance::new(2);
    instance.activate(rate);
    let input = noises(2, 5, frames);
    let output = instance.play(&input, &blocks, Placement::InPlace);
    assert_same(&output, &input, "a transport that does what it must not");
}

#[test]
fn in_two_instances_at_once() {
    passing::in_two_instances_at_once::<Instance>();
}

#[test]
fn in_instances_that_come_and_go() {
    passing::in_instances_that_come_and_go::<Instance>();
}
