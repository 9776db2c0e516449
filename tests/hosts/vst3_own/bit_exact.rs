//! What comes out is what went in, to the last bit.

use std::thread;

use candlemark_tests::clap_host::assert_same;

use crate::instance::Instance;
use crate::material::{extremes, noises, spoilt};
use crate::playback::{Placement, blocks};
use crate::transport::{playing, playing_at};

const PLACEMENTS: [Placement; 2] = [Placement::InPlace, Placement::Separate];

#[test]
fn at_every_block_size() {
    let sizes: [&[usize]; 7] =
        [&[1], &[17], &[64], &[480], &[512], &[4096], &[0, 1, 480, 0, 17, 4096, 3, 64, 0, 8192, 512]];
    for channels in [1, 2] {
        let mut instance = Instance::new(channels);
        instance.activate(44_100.0);
        for placement in PLACEMENTS {
            for sizes in sizes {
                let input = noises(channels, 1, 30_000);
                let output = instance.play(&input, &blocks(30_000, sizes), placement);
                let what = format!("{channels} channels, blocks of {sizes:?}, {placement:?}");
                assert_same(&output, &input, &what);
            }
        }
    }
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
    let mut instance = Instance::new(2);
    for (seed, channels) in (1..).zip([1, 2, 2, 1, 1, 2]) {
        instance.set_channels(channels);
        instance.activate(48_000.0);
        let input = noises(channels, seed, 20_000);
        let output = instance.play(&input, &blocks(20_000, &[256]), Placement::Separate);
        assert_same(&output, &input, &format!("{channels} channels"));
    }
}

#[test]
fn of_silence_full_scale_and_samples_that_are_none() {
    for channels in [1, 2] {
        let mut instance = Instance::new(channels);
        instance.activate(48_000.0);
        let steady = |sample| vec![vec![sample; 20_000]; channels];
        let mut sounds = vec![steady(0.0), steady(1.0), steady(-1.0), spoilt(channels, 3, 60_000)];
        sounds.extend(extremes().into_iter().map(steady));
        for (index, input) in sounds.iter().enumerate() {
            for placement in PLACEMENTS {
                let output = instance.play(input, &blocks(input[0].len(), &[512, 1, 100]), placement);
                assert_same(&output, input, &format!("{channels} channels, sound {index}, {placement:?}"));
            }
        }
        let input = noises(channels, 4, 20_000);
        let output = instance.play(&input, &blocks(20_000, &[512]), Placement::InPlace);
        assert_same(&output, &input, "ordinary sound after all that");
    }
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
    thread::scope(|scope| {
        for (seed, rate, size) in [(1, 44_100.0, 64), (2, 96_000.0, 1023)] {
            scope.spawn(move || {
                let mut instance = Instance::new(2);
                instance.activate(rate);
                for round in 0..10 {
                    let input = noises(2, seed * 100 + round, 50_000);
                    let output = instance.play(&input, &blocks(50_000, &[size]), Placement::InPlace);
                    assert_same(&output, &input, &format!("the instance at {rate} Hz, round {round}"));
                }
            });
        }
    });
}

#[test]
fn in_instances_that_come_and_go() {
    let mut stays = Instance::new(2);
    stays.activate(48_000.0);
    for seed in 0..10 {
        let mut goes = Instance::new(1 + seed as usize % 2);
        goes.activate(44_100.0);
        drop(goes);
        let input = noises(2, seed, 10_000);
        let output = stays.play(&input, &blocks(10_000, &[512]), Placement::InPlace);
        assert_same(&output, &input, "the instance that stays");
    }
}
