//! Decimation by two: a half-band low-pass, whose every other tap is zero.

use crate::QUANTUM;
use crate::kaiser::kaiser;
use crate::multiply_add::MultiplyAdd;

/// Attenuation of everything that would fold into the band that is kept. The bands need 70 dB
/// (IEC 61260-1:2014, table 1, class 1, the farthest frequencies); the rest is margin, for the design formulae
/// hold for long filters and these are short.
const STOP_DB: f64 = 92.0;

/// Longest filter: taps on each side that are not zero.
const MAX_SIDE: usize = 20;

/// Frames that come of a quantum.
const HALF: usize = QUANTUM / 2;

/// Samples, of both channels by turns, that are computed side by side.
const ABREAST: usize = 16;

/// A frame of both channels.
type Frame = [f32; 2];

/// Halves the sample rate of two channels. It gathers a quantum and then works on all of it: the deeper a decimator lies in
/// a chain, the seldomer it is called on to do anything.
pub(crate) struct HalfBand {
    /// Taps at the odd offsets ±1, ±3, …; the centre tap is ½ and the even ones are 0.
    side: Vec<f32>,
    /// Inputs at even and at odd places, oldest first: those that the filter looks back on, then what is gathered.
    even: [Frame; MAX_SIDE + HALF],
    odd: [Frame; 2 * MAX_SIDE + HALF],
    /// Frames gathered.
    gathered: usize,
    made: [Frame; HALF],
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
        Self {
            side: side.into_iter().map(|tap| (tap * gain) as f32).collect(),
            even: [[0.0; 2]; _],
            odd: [[0.0; 2]; _],
            gathered: 0,
            made: [[0.0; 2]; _],
        }
    }

    /// By how many input frames the output lags, beside what is gathered.
    pub(crate) fn delay_frames(&self) -> usize {
        2 * self.side.len() - 1
    }

    /// Takes in up to a quantum; gives half a quantum each time that a whole one has been gathered.
    #[inline(always)]
    pub(crate) fn halve<M: MultiplyAdd>(&mut self, input: &[Frame]) -> Option<&[Frame; HALF]> {
        let (now, later) = input.split_at(input.len().min(QUANTUM - self.gathered));
        self.gather(now);
        if self.gathered < QUANTUM {
            return None;
        }
        self.work::<M>();
        self.gathered = 0;
        self.gather(later);
        Some(&self.made)
    }

    #[inline(always)]
    fn gather(&mut self, input: &[Frame]) {
        // Histories: the centre of an output lies as many odd inputs back as there are side taps.
        let count = self.side.len();
        let from = self.gathered;
        self.gathered += input.len();
        let (even, odd) = (&mut self.even[count - 1..], &mut self.odd[2 * count - 1..]);
        let (pairs, rest) = if from.is_multiple_of(2) { input.as_chunks::<2>() } else { (&[][..], input) };
        let pair_slots = even[from / 2..].iter_mut().zip(&mut odd[from / 2..]);
        for ([first, second], (even, odd)) in pairs.iter().zip(pair_slots) {
            *even = *first;
            *odd = *second;
        }
        // Before a quantum that was cut short, or after it, the inputs need not come in pairs.
        for (place, frame) in (from + 2 * pairs.len()..).zip(rest) {
            let slots = if place.is_multiple_of(2) { &mut *even } else { &mut *odd };
            slots[place / 2] = *frame;
        }
    }

    /// Filters the quantum that has been gathered.
    #[inline(always)]
    fn work<M: MultiplyAdd>(&mut self) {
        let count = self.side.len();
        let (even, odd) = (self.even.as_flattened(), self.odd.as_flattened());
        for (block, made) in self.made.as_flattened_mut().as_chunks_mut::<ABREAST>().0.iter_mut().enumerate()
        {
            let window = |inputs: &[f32], frame: usize| {
                let from = block * ABREAST + 2 * frame;
                let mut window = [0f32; ABREAST];
                window.copy_from_slice(&inputs[from..from + ABREAST]);
                window
            };
            let mut sums = window(even, 0).map(|x| 0.5 * x);
            for (i, &tap) in self.side.iter().enumerate() {
                let after = window(odd, count + i);
                let before = window(odd, count - 1 - i);
                for lane in 0..ABREAST {
                    sums[lane] = M::single(tap, after[lane] + before[lane], sums[lane]);
                }
            }
            *made = sums;
        }
        self.even.copy_within(HALF..HALF + count - 1, 0);
        self.odd.copy_within(HALF..HALF + 2 * count - 1, 0);
    }

    pub(crate) fn clear(&mut self) {
        self.even.fill([0.0; 2]);
        self.odd.fill([0.0; 2]);
        self.gathered = 0;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::multiply_add::InTwoSteps;

    /// Gain in dB of a sine at `frequency` (as a share of the input rate) after halving: the sine goes through
    /// one channel and its cosine through the other, so that their powers add up to a constant.
    fn gain_db(pass: f64, frequency: f64) -> f64 {
        let mut filter = HalfBand::new(pass);
        let (mut power, mut count) = (0.0, 0);
        for block in 0..400 {
            let input: [Frame; QUANTUM] = std::array::from_fn(|i| {
                let turn = 2.0 * std::f64::consts::PI * frequency * (block * QUANTUM + i) as f64;
                [turn.sin() as f32, turn.cos() as f32]
            });
            let made = filter.halve::<InTwoSteps>(&input).unwrap();
            if block > 4 {
                power += made.as_flattened().iter().map(|x| f64::from(*x).powi(2)).sum::<f64>();
                count += made.len();
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
        let input: Vec<Frame> = (0..640).map(|i| [((i * i) as f32 * 0.37).sin(), i as f32]).collect();
        let run = |sizes: &[usize]| {
            let mut filter = HalfBand::new(0.1);
            let (mut out, mut at, mut turn) = (Vec::<Frame>::new(), 0, 0);
            while at < input.len() {
                let n = sizes[turn % sizes.len()].min(input.len() - at);
                out.extend(filter.halve::<InTwoSteps>(&input[at..at + n]).into_iter().flatten());
                at += n;
                turn += 1;
            }
            out
        };
        let whole = run(&[64]);
        assert_eq!(whole.len(), 320);
        for sizes in [&[1][..], &[3, 1, 7], &[63, 0, 2], &[50, 64]] {
            assert_eq!(run(sizes), whole, "split {sizes:?}");
        }
    }
}
