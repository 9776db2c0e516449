//! What comes out of the plugin is what went in, to the last bit, whatever host it is in.

use std::process::Output;
use std::thread;

use crate::material::{extremes, noises, spoilt};
use crate::own_process;

/// What a host's memory may hold before a plugin writes to it.
pub const LEFT_OVER: f32 = 12345.678;

/// Where the host puts a plugin's output.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Placement {
    /// Over its input.
    InPlace,
    /// Into memory of its own.
    Separate,
}

/// Both.
pub const PLACEMENTS: [Placement; 2] = [Placement::InPlace, Placement::Separate];

/// Fails at the first sample that is not the same to the last bit, NaNs and signs of zero included.
#[track_caller]
pub fn assert_same(output: &[Vec<f32>], input: &[Vec<f32>], what: &str) {
    assert_eq!(output.len(), input.len(), "{what}: channels");
    for (channel, (output, input)) in output.iter().zip(input).enumerate() {
        assert_eq!(output.len(), input.len(), "{what}: frames of channel {channel}");
        let differing =
            output.iter().zip(input).position(|(output, input)| output.to_bits() != input.to_bits());
        if let Some(frame) = differing {
            let (output, input) = (output[frame], input[frame]);
            panic!("{what}: channel {channel}, frame {frame}: {input:e} came out as {output:e}");
        }
    }
}

/// Cuts `frames` into blocks of the sizes in turn, over and over.
pub fn cut(frames: usize, sizes: &[usize]) -> Vec<usize> {
    assert!(sizes.iter().any(|&size| size > 0));
    let mut left = frames;
    let mut blocks = Vec::new();
    for &size in sizes.iter().cycle() {
        if left == 0 {
            break;
        }
        let frames = size.min(left);
        left -= frames;
        blocks.push(frames);
    }
    blocks
}

/// One instance of the plugin in a host.
pub trait Passes: Sized {
    /// Makes one with so many channels, one or two.
    fn new(channels: usize) -> Self;
    /// Changes the channel count, for which it is taken down.
    fn set_channels(&mut self, channels: usize);
    /// Sets it up, after taking it down if it was.
    fn activate(&mut self, sample_rate: f64);
    /// Plays `input` in blocks of the sizes in turn, without a transport, and gives what came out.
    fn play(&mut self, input: &[Vec<f32>], sizes: &[usize], placement: Placement) -> Vec<Vec<f32>>;

    /// Plays it so, and fails unless what comes out is what went in.
    #[track_caller]
    fn passes(&mut self, input: &[Vec<f32>], sizes: &[usize], placement: Placement, what: &str) {
        assert_same(&self.play(input, sizes, placement), input, what);
    }
}

/// Ordinary sound still comes through.
pub fn still_passes(instance: &mut impl Passes, what: &str) {
    instance.passes(&noises(2, 7, 5000), &[512], Placement::InPlace, what);
}

/// Blocks of many sizes, in one instance one after the other.
pub fn at_every_block_size<I: Passes>() {
    let sizes: [&[usize]; 7] =
        [&[1], &[17], &[64], &[480], &[512], &[4096], &[0, 1, 480, 0, 17, 4096, 3, 64, 0, 8192, 512]];
    for channels in [1, 2] {
        let mut instance = I::new(channels);
        instance.activate(44_100.0);
        for placement in PLACEMENTS {
            for sizes in sizes {
                let input = noises(channels, 1, 30_000);
                let what = format!("{channels} channels, blocks of {sizes:?}, {placement:?}");
                instance.passes(&input, sizes, placement, &what);
            }
        }
    }
}

/// Another channel count, several times.
pub fn from_mono_to_stereo_and_back<I: Passes>() {
    let mut instance = I::new(2);
    for (seed, channels) in (1..).zip([1, 2, 2, 1, 1, 2]) {
        instance.set_channels(channels);
        instance.activate(48_000.0);
        let input = noises(channels, seed, 20_000);
        instance.passes(&input, &[256], Placement::Separate, &format!("{channels} channels"));
    }
}

/// Sound that no sound card gives, and ordinary sound after it.
pub fn of_silence_full_scale_and_samples_that_are_none<I: Passes>() {
    for channels in [1, 2] {
        let mut instance = I::new(channels);
        instance.activate(48_000.0);
        let steady = |sample| vec![vec![sample; 20_000]; channels];
        let mut sounds = vec![steady(0.0), steady(1.0), steady(-1.0), spoilt(channels, 3, 60_000)];
        sounds.extend(extremes().into_iter().map(steady));
        for (index, input) in sounds.iter().enumerate() {
            for placement in PLACEMENTS {
                let what = format!("{channels} channels, sound {index}, {placement:?}");
                instance.passes(input, &[512, 1, 100], placement, &what);
            }
        }
        let input = noises(channels, 4, 20_000);
        instance.passes(&input, &[512], Placement::InPlace, "ordinary sound after all that");
    }
}

/// Two instances on two threads.
pub fn in_two_instances_at_once<I: Passes>() {
    thread::scope(|scope| {
        for (seed, rate, size) in [(1, 44_100.0, 64), (2, 96_000.0, 1023)] {
            scope.spawn(move || {
                let mut instance = I::new(2);
                instance.activate(rate);
                for round in 0..10 {
                    let input = noises(2, seed * 100 + round, 50_000);
                    let what = format!("the instance at {rate} Hz, round {round}");
                    instance.passes(&input, &[size], Placement::InPlace, &what);
                }
            });
        }
    });
}

/// One instance that stays while others are made and dropped.
pub fn in_instances_that_come_and_go<I: Passes>() {
    let mut stays = I::new(2);
    stays.activate(48_000.0);
    for seed in 0..10 {
        let mut goes = I::new(1 + seed as usize % 2);
        goes.activate(44_100.0);
        drop(goes);
        let input = noises(2, seed, 10_000);
        stays.passes(&input, &[512], Placement::InPlace, "the instance that stays");
    }
}

/// What [`the_trap_is_set`] runs in a process of its own, with and without the bait.
pub fn a_little_sound<I: Passes>() {
    let mut instance = I::new(2);
    instance.activate(48_000.0);
    let input = noises(2, 1, 1000);
    instance.passes(&input, &[100], Placement::InPlace, "a little sound");
}

/// Tells a debug build of the plugin to allocate once a block.
pub const BAIT: &str = "CANDLEMARK_BAIT_ALLOCATION";

/// A debug build of the plugin aborts its host when anything allocates inside `process`. So that nobody trusts a trap that
/// isn't set, the plugin takes a bait when it is told to. `test` is the name of a test that is [`a_little_sound`].
pub fn the_trap_is_set(test: &str) {
    let play = |bait: bool| {
        let mut command = own_process::again(test);
        command.arg("--test-threads=1").env_remove(BAIT);
        if bait {
            command.env(BAIT, "1");
        }
        command.output().expect("the test can run itself")
    };
    let without = play(false);
    let printed = String::from_utf8_lossy(&without.stdout).into_owned();
    assert!(without.status.success() && printed.contains("1 passed"), "it fails without the bait: {printed}");

    assert_aborted(&play(true));
}

/// Fails unless the plugin took the bait, and its host went with it.
#[track_caller]
pub fn assert_aborted(host: &Output) {
    let complaint = String::from_utf8_lossy(&host.stderr);
    assert!(
        !host.status.success() && complaint.contains("memory allocation of"),
        "the plugin allocated inside `process` and nothing happened: a build of it without debug assertions has \
         no trap; `cargo xtask test` makes one that has. {complaint}"
    );
}
