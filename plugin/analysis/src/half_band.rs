//! Decimation by two: a half-band low-pass, whose every other tap is zero.

use crate::QUANTUM;
use crate::kaiser::kaiser;

/// Attenuation of everything that would fold into the band that is kept. The bands need 70 dB
/// (IEC 61260-1:2014, table 1, class 1, the farthest frequencies); the rest is margin, for the design formulae
/// hold for long filters and these are short.
const STOP_DB: f64 = 92.0;

/// Longest filter: taps on each side that are not zero.
const MAX_SIDE: usize = 20;

/// Outputs that are computed side by side, where there are many or few.
const MANY: usize = 16;
const FEW: usize = 8;

/// Halves the sample rate of two channels.
pub(crate) struct HalfBand {
    /// Taps at the odd offsets ±1, ±3, …; the centre tap is ½ and the even ones are 0.
    side: Vec<f32>,
    channels: [Delay; 2],
}

/// What one channel's filter remembers: inputs at even and at odd places, oldest first.
struct Delay {
    even: [f32; MAX_SIDE + QUANTUM / 2 + MANY],
    odd: [f32; 2 * MAX_SIDE + QUANTUM / 2 + MANY],
    /// An even input whose odd partner has not come yet.
    waiting: Option<f32>,
}

impl HalfBand {
    /// A filter that leaves `0..pass` (as a share of the input rate) alone and keeps what would fold into
    /// it [`STOP_DB`] down. `pass` is under 0.2.
    pub(crate) fn new(pass: f64) -> Self {
        // Kaiser's design formulae: Oppenheim and Schafer, Discrete-Time Signal Processing, sec. 7.5.3 (from
        // memory).
        let transition = 2.0 * std::f64::consts::PI * (0.5 - 2.0 * pass);
        let order = (STOP_DB - 8.0) / (2.285 * transition);
        let beta = 0.1102 * (STOP_DB - 8.7);
        let count = ((order / 4.0 + 0.5).ceil() as usize).clamp(2, MAX_SIDE);
        let reach = 2.0 * count as f64 - 1.0;
        let side: Vec<f64> = (0..count)
            .map(|i| {
                let offset = (2 * i + 1) as f64;
                let half_turn = std::f64::consts::FRAC_PI_2 * offset;
                0.5 * (half_turn.sin() / half_turn) * kaiser(beta, offset / reach)
            })
            .collect();
        // Unity at zero frequency: the side taps of one side add up to a quarter.
        let gain = 0.25 / side.iter().sum::<f64>();
        let delay = || Delay { even: [0.0; _], odd: [0.0; _], waiting: None };
        Self { side: side.into_iter().map(|tap| (tap * gain) as f32).collect(), channels: [delay(), delay()] }
    }

    /// By how many input frames the output lags.
    pub(crate) fn delay_frames(&self) -> usize {
        2 * self.side.len() - 1
    }

    /// Filters `input` (up to a quantum of each channel) in place into its first half; gives the number of
    /// frames there.
    #[inline(always)]
    pub(crate) fn halve(&mut self, data: &mut [[f32; QUANTUM]; 2], frames: usize) -> usize {
        let mut made = 0;
        for (delay, data) in self.channels.iter_mut().zip(data) {
            made = delay.halve(&self.side, data, frames);
        }
        made
    }

    pub(crate) fn clear(&mut self) {
        for delay in &mut self.channels {
            delay.even.fill(0.0);
            delay.odd.fill(0.0);
            delay.waiting = None;
        }
    }
}

impl Delay {
    /// Computes the outputs from `at` on, side by side; gives how many.
    #[inline(always)]
    fn outputs<const ABREAST: usize>(&self, side: &[f32], at: usize, data: &mut [f32; QUANTUM]) -> usize {
        let count = side.len();
        let window = |inputs: &[f32], from: usize| {
            let mut window = [0f32; ABREAST];
            window.copy_from_slice(&inputs[from..from + ABREAST]);
            window
        };
        let mut sums = window(&self.even, at).map(|x| 0.5 * x);
        for (i, &tap) in side.iter().enumerate() {
            let after = window(&self.odd, at + count + i);
            let before = window(&self.odd, at + count - 1 - i);
            for lane in 0..ABREAST {
                sums[lane] += tap * (after[lane] + before[lane]);
            }
        }
        data[at..at + ABREAST].copy_from_slice(&sums);
        ABREAST
    }

    #[inline(always)]
    fn halve(&mut self, side: &[f32], data: &mut [f32; QUANTUM], frames: usize) -> usize {
        let count = side.len();
        // Histories: the centre of an output lies `count` odd inputs back.
        let (even_past, odd_past) = (count - 1, 2 * count - 1);
        let mut made = 0;
        let mut at = 0;
        if let Some(even) = self.waiting.take() {
            if frames == 0 {
                self.waiting = Some(even);
                return 0;
            }
            self.even[even_past] = even;
            self.odd[odd_past] = data[0];
            made = 1;
            at = 1;
        }
        let pairs = (frames - at) / 2;
        for (i, pair) in data[at..frames].chunks_exact(2).enumerate() {
            self.even[even_past + made + i] = pair[0];
            self.odd[odd_past + made + i] = pair[1];
        }
        made += pairs;
        if (frames - at) % 2 == 1 {
            self.waiting = Some(data[frames - 1]);
        }
        let mut at = 0;
        while at < made {
            // What lies behind the last output is computed with it and never looked at.
            at += if made - at > FEW {
                self.outputs::<MANY>(side, at, data)
            } else {
                self.outputs::<FEW>(side, at, data)
            };
        }
        self.even.copy_within(made..made + even_past, 0);
        self.odd.copy_within(made..made + odd_past, 0);
        made
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Gain in dB of a sine at `frequency` (as a share of the input rate) after halving: the sine goes through
    /// one channel and its cosine through the other, so that their powers add up to a constant.
    fn gain_db(pass: f64, frequency: f64) -> f64 {
        let mut filter = HalfBand::new(pass);
        let (mut power, mut count) = (0.0, 0);
        for block in 0..400 {
            let mut data = [[0f32; QUANTUM]; 2];
            let [sines, cosines] = &mut data;
            for (i, (sine, cosine)) in sines.iter_mut().zip(cosines).enumerate() {
                let turn = 2.0 * std::f64::consts::PI * frequency * (block * QUANTUM + i) as f64;
                *sine = turn.sin() as f32;
                *cosine = turn.cos() as f32;
            }
            let made = filter.halve(&mut data, QUANTUM);
            if block > 4 {
                power += data.iter().flat_map(|d| &d[..made]).map(|x| f64::from(*x).powi(2)).sum::<f64>();
                count += made;
            }
        }
        10.0 * (power / count as f64).log10()
    }

    #[test]
    fn keeps_the_pass_band_and_stops_what_would_fold_into_it() {
        for pass in [0.01, 0.05, 0.1, 0.19] {
            for share in [0.1, 0.5, 1.0] {
                let kept = gain_db(pass, pass * share);
                assert!(kept.abs() < 0.002, "pass {pass}, {share} of it: {kept} dB");
                let folded = gain_db(pass, 0.5 - pass * share + 1e-4);
                assert!(folded < -83.0, "pass {pass}, {share} of it from above: {folded} dB");
            }
        }
    }

    #[test]
    fn any_split_gives_the_same_output() {
        let input: Vec<f32> = (0..640).map(|i| ((i * i) as f32 * 0.37).sin()).collect();
        let run = |sizes: &[usize]| {
            let mut filter = HalfBand::new(0.1);
            let (mut out, mut at, mut turn) = (Vec::new(), 0, 0);
            while at < input.len() {
                let n = sizes[turn % sizes.len()].min(input.len() - at);
                let mut data = [[0f32; QUANTUM]; 2];
                data[0][..n].copy_from_slice(&input[at..at + n]);
                let made = filter.halve(&mut data, n);
                out.extend_from_slice(&data[0][..made]);
                at += n;
                turn += 1;
            }
            out
        };
        let whole = run(&[64]);
        assert_eq!(whole.len(), 320);
        for sizes in [&[1][..], &[3, 1, 7], &[63, 0, 2]] {
            assert_eq!(run(sizes), whole, "split {sizes:?}");
        }
    }
}
