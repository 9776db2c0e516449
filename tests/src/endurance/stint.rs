//! A stint: some seconds of sound, cut into blocks, with a transport and parameters that move.

use crate::chance::Chance;
use crate::material::{noises, spoilt};

/// Blocks of a stint at most: in blocks of one frame it is short.
const MOST_BLOCKS: usize = 8000;
const LONGEST_BLOCK: u64 = 4096;
/// Where a jump may lead, in seconds.
const SONG_S: f64 = 600.0;

/// What a host says of its transport.
#[derive(Clone, Copy, Debug)]
pub struct Told {
    /// Where in the song it is, in seconds.
    pub at_s: f64,
    /// In quarter notes a minute.
    pub tempo: f64,
    /// It runs.
    pub runs: bool,
}

/// A parameter takes a value.
#[derive(Clone, Copy, Debug)]
pub struct Change {
    /// Which of them, counted from 0.
    pub parameter: usize,
    /// At this frame of the block.
    pub frame: usize,
    /// From its lowest, 0, to its highest, 1.
    pub value: f64,
}

/// One block.
#[derive(Clone, Debug)]
pub struct Step {
    /// Its length.
    pub frames: usize,
    /// Nothing at all is allowed.
    pub told: Option<Told>,
    /// Parameters that move in it.
    pub changes: Vec<Change>,
}

/// How the transport does in a stint.
enum Way {
    Untold,
    Stands,
    GoesOn,
    Jumps,
    Loops { from_s: f64, to_s: f64 },
    StartsAndStops,
}

fn way(chance: &mut Chance) -> Way {
    match chance.below(8) {
        0 => Way::Untold,
        1 => Way::Stands,
        2 => Way::Jumps,
        3 => {
            let from_s = chance.share() * SONG_S;
            Way::Loops { from_s, to_s: from_s + 0.01 + 2.0 * chance.share() }
        }
        4 => Way::StartsAndStops,
        _ => Way::GoesOn,
    }
}

pub(super) fn steps(chance: &mut Chance, rate: f64, parameters: usize, at_s: &mut f64) -> Vec<Step> {
    let way = way(chance);
    let mut left = (rate * (0.2 + 8.0 * chance.share())) as usize;
    // One size, or any, all powers of two alike.
    let steady = (chance.below(2) == 0).then(|| size(chance));
    let mut tempo = 40.0 + 160.0 * chance.share();
    let mut runs = true;
    let moves = chance.below(3) == 0;
    if let Way::Loops { from_s, .. } = way {
        *at_s = from_s;
    }
    let mut steps = Vec::new();
    while left > 0 && steps.len() < MOST_BLOCKS {
        let frames = steady.unwrap_or_else(|| size(chance)).min(left);
        left -= frames;
        match way {
            Way::Jumps if chance.below(16) == 0 => *at_s = chance.share() * SONG_S - 4.0,
            Way::StartsAndStops if chance.below(16) == 0 => runs = !runs,
            Way::Loops { from_s, to_s } if *at_s >= to_s => *at_s = from_s,
            _ => {}
        }
        if chance.below(200) == 0 {
            tempo = 40.0 + 160.0 * chance.share();
        }
        runs &= !matches!(way, Way::Stands);
        let told = (!matches!(way, Way::Untold)).then_some(Told { at_s: *at_s, tempo, runs });
        let mut changes = Vec::new();
        if moves && parameters > 0 && chance.below(8) == 0 {
            let parameter = chance.below(parameters as u64) as usize;
            changes.push(Change {
                parameter,
                frame: chance.below(frames as u64) as usize,
                value: chance.share().mul_add(1.2, -0.1).clamp(0.0, 1.0),
            });
        }
        if runs {
            *at_s += frames as f64 / rate;
        }
        steps.push(Step { frames, told, changes });
    }
    steps
}

fn size(chance: &mut Chance) -> usize {
    let exponent = chance.share() * (LONGEST_BLOCK as f64).log2();
    (exponent.exp2().round() as u64).clamp(1, LONGEST_BLOCK) as usize
}

/// Mostly noise; now and then silence, or what no sound card gives.
pub(super) fn sound(chance: &mut Chance, channels: usize, frames: usize) -> Vec<Vec<f32>> {
    let seed = chance.bits() >> 8;
    match chance.below(8) {
        0 => vec![vec![0.0; frames]; channels],
        1 => spoilt(channels, seed, frames),
        _ => noises(channels, seed, frames),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stint_has_blocks_of_every_size_and_each_way_of_a_transport() {
        let (mut chance, mut at_s) = (Chance::new(3), 0.0);
        let (mut sizes, mut jumps, mut stands, mut untold, mut moved) =
            (std::collections::HashSet::new(), 0, 0, 0, 0);
        for _ in 0..200 {
            let steps = steps(&mut chance, 48_000.0, 4, &mut at_s);
            for pair in steps.windows(2) {
                let [before, after] = [&pair[0], &pair[1]];
                let (Some(was), Some(is)) = (before.told, after.told) else {
                    untold += 1;
                    continue;
                };
                let on = was.at_s + if was.runs { before.frames as f64 / 48_000.0 } else { 0.0 };
                jumps += usize::from((is.at_s - on).abs() > 1e-6);
                stands += usize::from(!is.runs);
            }
            sizes.extend(steps.iter().map(|step| step.frames));
            moved += steps.iter().map(|step| step.changes.len()).sum::<usize>();
            assert!(steps.iter().all(|step| step.changes.iter().all(|change| change.frame < step.frames)));
        }
        assert!(sizes.contains(&1) && sizes.iter().any(|size| *size > 4000) && sizes.len() > 500);
        assert!(jumps > 50 && stands > 50 && untold > 50 && moved > 50, "{jumps} {stands} {untold} {moved}");
    }
}
