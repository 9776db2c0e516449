//! Many instances of the built plugin in one process.

use std::fs;

use anyhow::{Context, Result, bail};
use candlemark_tests::clap_host::{Instance, Placement};
use rustix::time::{ClockId, clock_gettime};
use serde_json::json;

use crate::{SAMPLE_RATE_HZ, SHORT_BLOCK_FRAMES, subjects};

/// Sound is played to each instance a short while by turns, as a host plays a project's buses.
const TURN_FRAMES: usize = 75 * SHORT_BLOCK_FRAMES;

/// Plays `seconds` of sound through `count` instances by turns; tells how long the process was at work, host and clerk
/// included, and what each instance reserves.
pub(crate) fn run(count: usize, seconds: usize) -> Result<()> {
    // What is loaded but once comes with the first.
    let mut instances = vec![activated()];
    let before_mib = reserved_mib()?;
    instances.extend((1..count).map(|_| activated()));
    let each_mib = (reserved_mib()? - before_mib) / (count - 1) as f64;

    let turns = seconds * SAMPLE_RATE_HZ as usize / TURN_FRAMES;
    let sound = crate::sound(seconds);
    let sides = sound.sides();
    let before_s = at_work_s();
    for start in (0..turns).map(|turn| turn * TURN_FRAMES) {
        let input = sides.each_ref().map(|side| side[start..start + TURN_FRAMES].to_vec());
        let blocks = subjects::blocks(start, TURN_FRAMES);
        for instance in &mut instances {
            if instance.play_on(&input, &blocks, Placement::InPlace) != input {
                bail!("the plugin changed the sound");
            }
        }
    }
    let at_work_s = at_work_s() - before_s;
    println!("{}", json!({ "at_work_s": at_work_s, "sound_s": seconds, "each_mib": each_mib }));
    Ok(())
}

fn activated() -> Instance {
    let mut instance = Instance::new(2);
    instance.activate(f64::from(SAMPLE_RATE_HZ));
    instance
}

/// The process's own writable memory, touched or not, in MiB: `VmData` of `proc_pid_status(5)`.
fn reserved_mib() -> Result<f64> {
    let status = fs::read_to_string("/proc/self/status").context("only Linux tells memory this way")?;
    let line = status.lines().find_map(|line| line.strip_prefix("VmData:")).context("there is no VmData")?;
    let kib: f64 = line.trim().trim_end_matches("kB").trim().parse().context("VmData is no number")?;
    Ok(kib / 1024.0)
}

/// Processor time of all the process's threads so far.
fn at_work_s() -> f64 {
    let time = clock_gettime(ClockId::ProcessCPUTime);
    time.tv_sec as f64 + time.tv_nsec as f64 / 1e9
}
