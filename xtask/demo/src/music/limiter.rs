//! A limiter that looks ahead: no sample comes over its ceiling, and its gain moves without steps.

use super::RATE_HZ;
use super::stereo::Stereo;

/// So far it looks ahead, in seconds.
const AHEAD_S: f64 = 0.0022;
/// In so many seconds its gain comes back most of the way.
const RELEASE_S: f64 = 0.07;

/// Holds both sides under the ceiling (a factor of amplitude), by the same gain.
pub(crate) fn limit(sound: &mut Stereo, ceiling: f32) {
    let ahead = (AHEAD_S * RATE_HZ) as usize;
    let needed: Vec<f32> = sound
        .left
        .iter()
        .zip(&sound.right)
        .map(|(left, right)| (ceiling / left.abs().max(right.abs()).max(ceiling)).min(1.0))
        .collect();
    let lowest = lowest_ahead(&needed, ahead);
    let comes_back = (1.0 - (-1.0 / (RELEASE_S * RATE_HZ)).exp()) as f32;
    let mut held = 1.0f32;
    let released: Vec<f32> = lowest
        .iter()
        .map(|lowest| {
            held = lowest.min(held + comes_back * (1.0 - held));
            held
        })
        .collect();
    // A mean over as long as it looked ahead: where a sample needs its gain, all that is averaged holds it.
    // Before its start the sound is taken to need what its first moment needs.
    let first = lowest.first().copied().map_or(1.0, f64::from);
    let mut sum = ahead as f64 * first;
    for n in 0..released.len() {
        sum += f64::from(released[n]) - n.checked_sub(ahead).map_or(first, |gone| f64::from(released[gone]));
        let gain = (sum / ahead as f64) as f32;
        sound.left[n] *= gain;
        sound.right[n] *= gain;
    }
}

/// The lowest of each value and the `ahead` − 1 after it.
fn lowest_ahead(values: &[f32], ahead: usize) -> Vec<f32> {
    let mut lowest = vec![1.0; values.len()];
    // Indices of values that ascend, from the one that counts now to the one that was met last.
    let mut open: std::collections::VecDeque<usize> = std::collections::VecDeque::new();
    for n in (0..values.len()).rev() {
        while open.back().is_some_and(|last| values[*last] >= values[n]) {
            open.pop_back();
        }
        open.push_back(n);
        while open.front().is_some_and(|first| *first >= n + ahead) {
            open.pop_front();
        }
        lowest[n] = values[open[0]];
    }
    lowest
}

#[cfg(test)]
mod tests {
    use candlemark_tests::signals::Noise;

    use super::*;

    #[test]
    fn no_sample_comes_over_the_ceiling_and_what_is_under_it_stays() {
        let mut noise = Noise::new(3);
        let mut quiet = Stereo { left: noise.white(20_000, 0.05), right: noise.white(20_000, 0.05) };
        let before = quiet.clone();
        limit(&mut quiet, 0.5);
        let apart =
            quiet.left.iter().zip(&before.left).map(|(now, then)| (now - then).abs()).fold(0.0, f32::max);
        assert!(apart < 1e-6, "{apart}");
        let mut loud = Stereo { left: noise.white(20_000, 0.4), right: noise.white(20_000, 0.2) };
        limit(&mut loud, 0.5);
        let peak = loud.left.iter().chain(&loud.right).fold(0f32, |peak, x| peak.max(x.abs()));
        assert!((0.4..=0.500_001).contains(&peak), "{peak}");
    }

    #[test]
    fn the_lowest_ahead_is_the_lowest_ahead() {
        let values: Vec<f32> = (0..200).map(|n| ((n * 37) % 101) as f32 / 101.0).collect();
        for ahead in [1, 2, 7, 50] {
            for (n, lowest) in lowest_ahead(&values, ahead).into_iter().enumerate() {
                let until = (n + ahead).min(values.len());
                assert_eq!(lowest, values[n..until].iter().copied().fold(f32::INFINITY, f32::min));
            }
        }
    }
}
