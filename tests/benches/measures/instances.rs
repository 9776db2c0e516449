//! Many instances of the built plugin in one process.

use std::thread;
use std::time::{Duration, Instant};

use anyhow::{Result, bail};
use candlemark_tests::clap_host::{Block, Instance, Placement, Playback};
use candlemark_tests::taken::reserved_mib;
use rustix::time::{ClockId, clock_gettime};
use serde_json::json;

use crate::sound::Sound;
use crate::{SAMPLE_RATE_HZ, SHORT_BLOCK_FRAMES, subjects};

/// Plays `seconds` of sound through `count` instances, block by block and in step with the clock, as a host does. Tells how
/// long the process was at work meanwhile, host and clerk included, how long that was by the clock, and what each
/// instance reserves in the end.
pub(crate) fn run(count: usize, seconds: usize) -> Result<()> {
    let sound = crate::sound(seconds);
    // What is loaded but once comes with the first.
    let mut instances = vec![activated()];
    Instance::play_together(&mut instances, &mut InStep::new(&sound, SHORT_BLOCK_FRAMES), Placement::InPlace);
    let before_mib = reserved_mib();
    instances.extend((1..count).map(|_| activated()));

    let mut playback = InStep::new(&sound, sound.frames());
    let (start, before_s) = (Instant::now(), at_work_s());
    Instance::play_together(&mut instances, &mut playback, Placement::InPlace);
    let (at_work_s, passed_s) = (at_work_s() - before_s, start.elapsed().as_secs_f64());
    if playback.changed {
        bail!("the plugin changed the sound");
    }
    let each_mib = (reserved_mib() - before_mib) / (count - 1) as f64;
    println!("{}", json!({ "at_work_s": at_work_s, "passed_s": passed_s, "each_mib": each_mib }));
    Ok(())
}

fn activated() -> Instance {
    let mut instance = Instance::new(2);
    instance.activate(f64::from(SAMPLE_RATE_HZ));
    instance
}

/// A host's playback in short blocks: a sound card asks for a few at once, and waits until they have sounded.
struct InStep<'a> {
    sound: &'a Sound,
    /// The next frame, and where it ends.
    at: usize,
    end: usize,
    start: Instant,
    /// What came out was not what went in.
    changed: bool,
}

/// Blocks that are asked for at once.
const AT_ONCE: usize = 8;

impl<'a> InStep<'a> {
    fn new(sound: &'a Sound, end: usize) -> Self {
        Self { sound, at: 0, end, start: Instant::now(), changed: false }
    }
}

impl Playback for InStep<'_> {
    fn next(&mut self, sound: &mut [Vec<f32>]) -> Option<Block> {
        let end = self.at + SHORT_BLOCK_FRAMES;
        if end > self.end {
            return None;
        }
        if self.at.is_multiple_of(AT_ONCE * SHORT_BLOCK_FRAMES) {
            let due = Duration::from_secs_f64(self.at as f64 / f64::from(SAMPLE_RATE_HZ));
            thread::sleep(due.saturating_sub(self.start.elapsed()));
        }
        for (slot, side) in sound.iter_mut().zip(self.sound.sides()) {
            slot.extend_from_slice(&side[self.at..end]);
        }
        let block = subjects::block(self.at);
        self.at = end;
        Some(block)
    }

    fn take(&mut self, input: &[Vec<f32>], output: &[Vec<f32>]) {
        self.changed |= input != output;
    }
}

/// Processor time of all the process's threads so far.
fn at_work_s() -> f64 {
    let time = clock_gettime(ClockId::ProcessCPUTime);
    time.tv_sec as f64 + time.tv_nsec as f64 / 1e9
}
