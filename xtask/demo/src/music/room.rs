//! The room in which the band plays: a reverberation of delays that feed each other (Jot and Chaigne 1991).

use super::filters::{HighPass, LowPass};
use super::stereo::Stereo;
use super::{RATE_HZ, frames};

/// Delays in frames, without a common divisor.
const DELAYS: [usize; 8] = [1423, 1637, 1871, 2053, 2333, 2617, 2903, 3167];
/// From when on it answers, in seconds.
const BEFORE_S: f64 = 0.018;
/// Below this the room stays dry: a low end has one place.
const DRY_BELOW_HZ: f64 = 260.0;

/// What the room gives back of a mono sound; `rings_s` is the time in which it falls by 60 dB.
pub(crate) fn answer(sound: &[f32], rings_s: f64) -> Stereo {
    let mut out = Stereo::silent(sound.len());
    let mut lines: Vec<Line> = DELAYS.iter().map(|delay| Line::new(*delay, rings_s)).collect();
    let mut low_cut = [HighPass::new(DRY_BELOW_HZ), HighPass::new(DRY_BELOW_HZ)];
    let before = frames(BEFORE_S);
    for n in before..sound.len() {
        let x = low_cut.iter_mut().fold(sound[n - before], |x, cut| cut.next(x));
        let heard: [f32; 8] = std::array::from_fn(|line| lines[line].heard());
        let fed = hadamard(heard);
        for (line, (fed, index)) in lines.iter_mut().zip(fed.into_iter().zip(0..)) {
            line.feed(fed + if index % 2 == 0 { x } else { -x });
        }
        // Each side hears other lines the right way up, so that they have little to do with each other.
        out.left[n] = 0.35 * (heard[0] + heard[1] - heard[2] + heard[3] + 0.5 * heard[4]);
        out.right[n] = 0.35 * (heard[4] + heard[5] - heard[6] + heard[7] + 0.5 * heard[1]);
    }
    out
}

struct Line {
    samples: Vec<f32>,
    place: usize,
    loss: f32,
    walls: LowPass,
}

impl Line {
    fn new(delay: usize, rings_s: f64) -> Self {
        let loss = 10f64.powf(-3.0 * delay as f64 / (RATE_HZ * rings_s)) as f32;
        Self { samples: vec![0.0; delay], place: 0, loss, walls: LowPass::new(5500.0) }
    }

    fn heard(&mut self) -> f32 {
        self.walls.next(self.samples[self.place]) * self.loss
    }

    fn feed(&mut self, x: f32) {
        self.samples[self.place] = x;
        self.place = (self.place + 1) % self.samples.len();
    }
}

/// Mixes eight values without loss, each into all.
fn hadamard(mut x: [f32; 8]) -> [f32; 8] {
    for half in [1, 2, 4] {
        for n in (0..8).filter(|n| n & half == 0) {
            (x[n], x[n + half]) = (x[n] + x[n + half], x[n] - x[n + half]);
        }
    }
    x.map(|x| x / 8f32.sqrt())
}
