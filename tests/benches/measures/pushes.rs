//! How long a single push takes at worst.

use std::time::Instant;

use anyhow::Result;
use candlemark_analysis::{Analyzer, Build, Position};
use serde_json::json;

use crate::sound::Sound;
use crate::subjects::{Taken, made, position};
use crate::{SAMPLE_RATE_HZ, SHORT_BLOCK_FRAMES, sound};

/// One push, by a name that Valgrind can tell.
#[inline(never)]
fn candlemark_one_push(
    analyzer: &mut Analyzer,
    (left, right): (&[f32], &[f32]),
    position: Position,
    taken: &mut Taken,
) {
    analyzer.push(left, right, position, taken);
}

/// Feeds an Analyzer in short blocks; `around` is given each push.
pub(crate) fn feed(sound: &Sound, mut around: impl FnMut(&mut dyn FnMut())) -> Result<()> {
    let mut analyzer = made(Build::default())?;
    let mut taken = Taken::default();
    let mut frame = 0;
    for block in sound.blocks(SHORT_BLOCK_FRAMES) {
        let position = position(frame);
        around(&mut || candlemark_one_push(&mut analyzer, block, position, &mut taken));
        frame += block.0.len() as i64;
    }
    taken.check(sound.frames(), true)
}

/// Times each push in every run. The machine interrupts now this one and now that, so a push counts with its shortest time;
/// told is the longest of those.
pub(crate) fn run(seconds: usize, runs: usize) -> Result<()> {
    let sound = sound(seconds);
    let mut shortest_ns = vec![f64::INFINITY; sound.frames().div_ceil(SHORT_BLOCK_FRAMES)];
    for _ in 0..runs {
        let mut pushes = shortest_ns.iter_mut();
        feed(&sound, |push| {
            let start = Instant::now();
            push();
            let ns = start.elapsed().as_nanos() as f64;
            if let Some(shortest) = pushes.next() {
                *shortest = shortest.min(ns);
            }
        })?;
    }
    let longest_ns = shortest_ns.iter().copied().fold(0.0, f64::max);
    let own_ns = SHORT_BLOCK_FRAMES as f64 / f64::from(SAMPLE_RATE_HZ) * 1e9;
    println!("{}", json!({ "longest_ns": longest_ns, "own_ns": own_ns }));
    Ok(())
}
