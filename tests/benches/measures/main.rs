//! What measuring costs. `cargo xtask bench` runs it, and makes a table of what it prints: one JSON object.

mod compare;
mod frames;
mod instances;
mod pushes;
mod sound;
mod subjects;

use std::env;
use std::hint::black_box;
use std::path::Path;

use anyhow::{Context, Result, bail};

use sound::Sound;

const SAMPLE_RATE_HZ: u32 = 48_000;
/// Blocks as a file is read, and as a host with ordinary latency calls.
const BLOCK_FRAMES: usize = 512;
/// Blocks as a host with little latency calls: there the longest call counts.
const SHORT_BLOCK_FRAMES: usize = 64;

fn main() -> Result<()> {
    let arguments: Vec<String> = env::args().skip(1).collect();
    let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
    match arguments[..] {
        ["compare", "--seconds", seconds, "--runs", runs] => compare::run(number(seconds)?, number(runs)?),
        ["pushes", "--seconds", seconds, "--runs", runs] => pushes::run(number(seconds)?, number(runs)?),
        ["frames", "--runs", runs] => frames::run(number(runs)?),
        ["instances", "--count", count, "--seconds", seconds] => {
            instances::run(number(count)?, number(seconds)?)
        }
        ["feed", subject, "--seconds", seconds] => feed(subject, number(seconds)?),
        ["wave", path, "--seconds", seconds] => sound(number(seconds)?).write_wave(Path::new(path)),
        _ => bail!("run it by `cargo xtask bench`"),
    }
}

fn number(text: &str) -> Result<usize> {
    text.parse().with_context(|| format!("{text:?} is not a number"))
}

fn sound(seconds: usize) -> Sound {
    Sound::loud(seconds * SAMPLE_RATE_HZ as usize, SAMPLE_RATE_HZ)
}

/// Feeds one of them once; with `sound`, only makes the sound. For counting instructions.
fn feed(subject: &str, seconds: usize) -> Result<()> {
    if subject == "frames" {
        return frames::feed();
    }
    let sound = black_box(sound(seconds));
    match subject {
        "sound" => Ok(()),
        "analyzer" => subjects::analyzer(&sound),
        "loudness" => subjects::loudness_alone(&sound),
        "ebur128" => subjects::ebur128(&sound),
        "pushes" => pushes::feed(&sound, |push| push()),
        "plugin" => subjects::plugin(&sound),
        other => bail!("nothing is called {other:?} here"),
    }
}

fn median(values: &mut [f64]) -> f64 {
    values.sort_by(f64::total_cmp);
    let middle = values.len() / 2;
    if values.len() % 2 == 1 { values[middle] } else { f64::midpoint(values[middle - 1], values[middle]) }
}
