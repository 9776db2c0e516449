//! Third octaves inside IEC 61260-1:2014 class 1, from power spectra.
//!
//! One complex transform of L + iR carries both channels. Three tiers of 2048 points run side by side: at the
//! full rate, at about 12 kHz and at about 1.5 kHz, behind half-band decimators, so that every band spans
//! enough bins for the class and no band waits longer than it must. The window is Kaiser–Bessel-derived, half
//! overlapped: power is counted evenly, and far bands are rejected by more than the class asks.

use std::ops::Range;
use std::sync::Arc;

use rustfft::num_complex::Complex;
use rustfft::{Fft, FftPlanner, FftPlannerScalar};

use crate::QUANTUM;
use crate::bands::{BAND_COUNT, band_edges, fitting_bands, mid_band};
use crate::half_band::HalfBand;
use crate::kaiser::kaiser_bessel_derived;
use crate::multiply_add::MultiplyAdd;
use crate::{BandPower, BandPowers, Build, Hertz};

/// Points of a transform.
const POINTS: usize = 2048;
/// Points from one transform to the next.
const HOP: usize = POINTS / 2;
/// Samples that a decimator gives at once.
const LUMP: usize = QUANTUM / 2;
/// Shape of the window; less fails the class's far rejection, more its shoulders.
const ALPHA: f64 = 4.0;
/// Bins that must lie below a band's mid-band for the band to meet the class.
const BINS_BELOW_MID: f64 = 22.0;
/// The lowest tier's rate is at most this, so that its bins suit the 20 Hz band: 20 Hz × 2048 / 22, rounded down.
const LOWEST_TIER_MAX_HZ: f64 = 1850.0;
/// How many times slower the lowest tier is than the middle one.
const LOWEST_TIER_RATIO: u32 = 8;
/// Rates of an octave under this one and its doubles are served alike.
const NOMINAL_RATE_HZ: f64 = 48_000.0;
/// How far above its upper edge a band still listens, for the decimators' pass band.
const SKIRT: f64 = 1.2;

/// The spectrum of both channels, by band, over one stretch of time.
pub(crate) struct TierFrame {
    /// Which bands it holds.
    pub(crate) bands: Range<usize>,
    /// The frames it stands for: a hop, about the window's centre. May begin before the first frame.
    pub(crate) stretch: Range<i64>,
    /// The frames that it saw.
    pub(crate) window: Range<i64>,
    /// Mean powers in those bands; other bands are zero.
    pub(crate) powers: BandPowers,
}

/// The tiers of one bus.
pub(crate) struct ThirdOctaves {
    /// From the tier before (the first: from the input) to each tier.
    decimators: Vec<Vec<HalfBand>>,
    spectra: Spectra,
}

/// The transforms of all tiers.
struct Spectra {
    tiers: Vec<Tier>,
    fft: Arc<dyn Fft<f32>>,
    window: Vec<f32>,
    spectrum: Vec<Complex<f32>>,
    scratch: Vec<Complex<f32>>,
    /// Bin powers: left, right, mid.
    bins: [Vec<f32>; 3],
    /// The transform whose spectrum waits for its bands to be told.
    taken: Option<Transformed>,
    /// The frame that the first sample was.
    origin: i64,
}

/// A transform: of which tier, and the frame at the window's centre.
struct Transformed {
    tier: usize,
    centre: i64,
}

/// One rate at which transforms are taken.
struct Tier {
    /// Frames to one of this tier's samples.
    factor: i64,
    /// By how many frames this tier's samples lag.
    lag: i64,
    bands: Range<usize>,
    weights: Vec<BandWeights>,
    /// Bins that the bands use.
    bins: Range<usize>,
    previous: Vec<Complex<f32>>,
    current: Vec<Complex<f32>>,
    filled: usize,
    /// Samples that stood in `current` before the first one came, so that tiers take turns.
    offset: usize,
    /// Samples that have come.
    count: i64,
}

/// How much each bin gives to a band: 1 inside the band's edges, the covered share of the bins at its edges.
struct BandWeights {
    first_bin: usize,
    weights: Vec<f32>,
}

impl ThirdOctaves {
    pub(crate) fn new(rate: Hertz, build: Build) -> Self {
        let fft = if build.vectors {
            FftPlanner::new().plan_fft_forward(POINTS)
        } else {
            FftPlannerScalar::new().plan_fft_forward(POINTS)
        };
        let scratch = vec![Complex::default(); fft.get_inplace_scratch_len()];
        let window = kaiser_bessel_derived(POINTS, ALPHA).into_iter().map(|w| w as f32).collect();
        let tiers = if build.bands { tiers(rate) } else { Vec::new() };
        let (tiers, decimators) = tiers.into_iter().unzip();
        let spectra = Spectra {
            tiers,
            fft,
            window,
            spectrum: vec![Complex::default(); POINTS],
            scratch,
            bins: std::array::from_fn(|_| vec![0.0; HOP + 1]),
            taken: None,
            origin: 0,
        };
        Self { decimators, spectra }
    }

    pub(crate) fn tier_count(&self) -> usize {
        self.spectra.tiers.len()
    }

    /// Which tier measures a band.
    pub(crate) fn tier_of(&self, band: usize) -> Option<usize> {
        self.spectra.tiers.iter().position(|tier| tier.bands.contains(&band))
    }

    /// How many frames in the past the centre of a tier's window lies when its bands are told.
    pub(crate) fn delay_frames(&self, tier: usize) -> i64 {
        self.spectra.tiers.get(tier).map_or(0, |t| t.lag + t.factor * HOP as i64 + t.wait_frames())
    }

    /// Takes in up to a quantum. `found` gets each transform that became due, with its tier.
    #[inline(always)]
    pub(crate) fn feed<M: MultiplyAdd>(
        &mut self,
        input: &[[f32; 2]],
        mut found: impl FnMut(usize, &TierFrame),
    ) {
        self.spectra.work::<M>(&mut found);
        let mut data = input;
        for (number, decimators) in self.decimators.iter_mut().enumerate() {
            for decimator in decimators {
                match decimator.halve::<M>(data) {
                    Some(made) => data = made,
                    None => return,
                }
            }
            self.spectra.feed::<M>(number, data, &mut found);
        }
    }

    /// Forgets all; the next frame is `origin`.
    pub(crate) fn clear(&mut self, origin: u64) {
        self.decimators.iter_mut().flatten().for_each(HalfBand::clear);
        self.spectra.taken = None;
        self.spectra.origin = origin as i64;
        for tier in &mut self.spectra.tiers {
            tier.previous.fill(Complex::default());
            tier.current.fill(Complex::default());
            tier.filled = tier.offset;
            tier.count = 0;
        }
    }
}

impl Spectra {
    /// Takes in samples of tier `number`.
    #[inline(always)]
    fn feed<M: MultiplyAdd>(
        &mut self,
        number: usize,
        mut samples: &[[f32; 2]],
        found: &mut impl FnMut(usize, &TierFrame),
    ) {
        while !samples.is_empty() {
            if self.tiers[number].filled == HOP {
                // Its turn has not come since it was full: this pass began inside a quantum.
                self.tell::<M>(found);
                self.transform(number);
            }
            let tier = &mut self.tiers[number];
            let n = (HOP - tier.filled).min(samples.len());
            for (slot, [l, r]) in tier.current[tier.filled..tier.filled + n].iter_mut().zip(samples) {
                *slot = Complex::new(*l, *r);
            }
            tier.filled += n;
            tier.count += n as i64;
            samples = &samples[n..];
        }
    }

    /// One piece of work at most, so that no short block has two to do: the bands of the transform that has been taken, or
    /// the transform of a tier that has gathered a hop.
    #[inline(always)]
    fn work<M: MultiplyAdd>(&mut self, found: &mut impl FnMut(usize, &TierFrame)) {
        if self.taken.is_some() {
            self.tell::<M>(found);
        } else if let Some(number) = self.tiers.iter().position(|tier| tier.filled == HOP) {
            self.transform(number);
        }
    }

    /// Takes a tier's transform.
    #[inline(always)]
    fn transform(&mut self, number: usize) {
        let tier = &mut self.tiers[number];
        let (rising, falling) = self.window.split_at(HOP);
        let (first, second) = self.spectrum.split_at_mut(HOP);
        windowed(&tier.previous, rising, first);
        windowed(&tier.current, falling, second);
        self.fft.process_with_scratch(&mut self.spectrum, &mut self.scratch);
        std::mem::swap(&mut tier.previous, &mut tier.current);
        tier.filled = 0;
        self.taken = Some(Transformed { tier: number, centre: tier.centre(self.origin) });
    }

    /// Tells the bands of the transform that has been taken, if there is one.
    #[inline(always)]
    fn tell<M: MultiplyAdd>(&mut self, found: &mut impl FnMut(usize, &TierFrame)) {
        if let Some(Transformed { tier, centre }) = self.taken.take() {
            found(tier, &self.tiers[tier].frame::<M>(&self.spectrum, &mut self.bins, centre));
        }
    }
}

#[inline(always)]
fn windowed(samples: &[Complex<f32>], window: &[f32], out: &mut [Complex<f32>]) {
    for ((out, x), w) in out.iter_mut().zip(samples).zip(window) {
        *out = Complex::new(x.re * w, x.im * w);
    }
}

impl Tier {
    /// How long its bands wait to be told once it is full: a quantum each for the transform and its bands, and the same again
    /// for the fastest tier where both are full at once.
    fn wait_frames(&self) -> i64 {
        let meets_the_fastest = self.factor > 1 && (HOP - self.offset) as i64 * self.factor % HOP as i64 == 0;
        QUANTUM as i64 * if meets_the_fastest { 4 } else { 2 }
    }

    /// The frame at the centre of a window that ends here.
    fn centre(&self, origin: i64) -> i64 {
        origin + (self.count - HOP as i64) * self.factor - self.lag
    }

    /// The band powers of a transform that has been taken.
    #[inline(always)]
    fn frame<M: MultiplyAdd>(
        &self,
        spectrum: &[Complex<f32>],
        bins: &mut [Vec<f32>; 3],
        centre: i64,
    ) -> TierFrame {
        let [left, right, mid] = bins;
        let range = self.bins.clone();
        let mirrored = spectrum[POINTS - range.end + 1..=POINTS - range.start].iter().rev();
        let powers =
            left[range.clone()].iter_mut().zip(&mut right[range.clone()]).zip(&mut mid[range.clone()]);
        for (((l, r), m), (a, b)) in powers.zip(spectrum[range].iter().zip(mirrored)) {
            // With X = transform of L + iR: 2L = X[k] + X*[N−k] and 2iR = X[k] − X*[N−k]. Mid is formed
            // before squaring, so that opposite channels leave nothing but rounding.
            let (l_re, l_im) = (a.re + b.re, a.im - b.im);
            let (r_re, r_im) = (a.im + b.im, b.re - a.re);
            let (m_re, m_im) = (l_re + r_re, l_im + r_im);
            *l = M::single(l_re, l_re, l_im * l_im);
            *r = M::single(r_re, r_re, r_im * r_im);
            *m = M::single(m_re, m_re, m_im * m_im);
        }
        // Parseval, one-sided: mean square = Σ 2|X|²/(N·Σw²), and Σw² = N/2. What was squared above is 2L, 2R
        // and 4M.
        let side = 2.0 / (4.0 * POINTS as f32 * (POINTS / 2) as f32);
        let mut powers = BandPowers::default();
        for (band, weights) in self.bands.clone().zip(&self.weights) {
            powers[band] = BandPower {
                left: side * weights.sum::<M>(left),
                right: side * weights.sum::<M>(right),
                mid: side / 4.0 * weights.sum::<M>(mid),
            };
        }
        let half = (HOP / 2) as i64 * self.factor;
        TierFrame {
            bands: self.bands.clone(),
            stretch: centre - half..centre + half,
            window: centre - 2 * half..centre + 2 * half,
            powers,
        }
    }
}

impl BandWeights {
    fn new(band: usize, bin_hz: f64) -> Self {
        let (Hertz(low), Hertz(high)) = band_edges(band);
        let (low, high) = (low / bin_hz, high / bin_hz);
        let first_bin = (low + 0.5).floor() as usize;
        let last_bin = ((high + 0.5).floor() as usize).min(HOP);
        let share = |bin: usize| ((bin as f64 + 0.5).min(high) - (bin as f64 - 0.5).max(low)).max(0.0) as f32;
        Self { first_bin, weights: (first_bin..=last_bin).map(share).collect() }
    }

    /// The weighted sum of bin powers, in eight strands so that it goes by vectors.
    #[inline(always)]
    fn sum<M: MultiplyAdd>(&self, bins: &[f32]) -> f32 {
        let bins = &bins[self.first_bin..self.first_bin + self.weights.len()];
        let (weights, last_weights) = self.weights.as_chunks::<8>();
        let (bins, last_bins) = bins.as_chunks::<8>();
        let mut strands = [0f32; 8];
        for (w, x) in weights.iter().zip(bins) {
            for i in 0..8 {
                strands[i] = M::single(w[i], x[i], strands[i]);
            }
        }
        let rest: f32 = last_weights.iter().zip(last_bins).map(|(w, x)| w * x).sum();
        strands.iter().sum::<f32>() + rest
    }
}

/// The tiers for a rate, fastest first; bands that no tier can measure (there are none at the supported rates)
/// belong to none.
fn tiers(rate: Hertz) -> Vec<(Tier, Vec<HalfBand>)> {
    let lowest = (rate.0 / LOWEST_TIER_MAX_HZ).log2().ceil().max(0.0) as u32;
    let middle = lowest.saturating_sub(LOWEST_TIER_RATIO.ilog2());
    let mut halvings = vec![0, middle, lowest];
    halvings.dedup();
    let fitting = fitting_bands(rate);
    // Bands go to the fastest tier that has bins enough for them: at 44.1 kHz to that which has enough at 48, and so on, so
    // that a sound is told alike at both. The last tier takes what is left.
    let nominal_hz = NOMINAL_RATE_HZ * (rate.0 / NOMINAL_RATE_HZ).log2().ceil().exp2();
    let first_bands: Vec<usize> = halvings
        .iter()
        .map(|&h| {
            let judged_hz = if h == lowest { rate.0 } else { nominal_hz };
            let bin_hz = judged_hz / f64::from(1 << h) / POINTS as f64;
            (0..BAND_COUNT).find(|&band| mid_band(band).0 >= BINS_BELOW_MID * bin_hz).unwrap_or(BAND_COUNT)
        })
        .collect();
    let mut tiers: Vec<(Tier, Vec<HalfBand>)> = Vec::new();
    for (i, &h) in halvings.iter().enumerate() {
        let top = if i == 0 { fitting } else { first_bands[i - 1].min(fitting) };
        let bands = first_bands[i].min(top)..top;
        let before = if i == 0 { 0 } else { halvings[i - 1] };
        let mut lag = tiers.last().map_or(0, |(tier, _)| tier.lag);
        let highest_hz = bands.clone().next_back().map_or(0.0, |band| band_edges(band).1.0 * SKIRT);
        let decimators = (before..h)
            .map(|stage| {
                let input_hz = rate.0 / f64::from(1 << stage);
                let decimator = HalfBand::new((highest_hz / input_hz).min(0.2));
                lag += (decimator.delay_frames() << stage) as i64;
                decimator
            })
            .collect();
        tiers.push((Tier::new(i, rate.0, 1 << h, lag, bands), decimators));
    }
    tiers
}

impl Tier {
    fn new(number: usize, rate_hz: f64, factor: i64, lag: i64, bands: Range<usize>) -> Self {
        let bin_hz = rate_hz / factor as f64 / POINTS as f64;
        let weights: Vec<BandWeights> = bands.clone().map(|band| BandWeights::new(band, bin_hz)).collect();
        let bins = match (weights.first(), weights.last()) {
            (Some(first), Some(last)) => first.first_bin..last.first_bin + last.weights.len(),
            _ => 1..1,
        };
        // A third of the fastest tier's hop apart, so that tiers seldom wait for each other.
        let turn = HOP - number * HOP / 3;
        // They come with the samples of a decimator, half a quantum at a time.
        let lumps = turn as f64 / factor as f64 / LUMP as f64;
        let offset = if number == 0 { 0 } else { lumps.round() as usize * LUMP % HOP };
        let silence = || vec![Complex::default(); HOP];
        Self {
            factor,
            lag,
            bands,
            weights,
            bins,
            previous: silence(),
            current: silence(),
            filled: offset,
            offset,
            count: 0,
        }
    }
}

#[cfg(test)]
mod tests;
