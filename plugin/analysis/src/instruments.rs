//! The instruments that every quantum goes through: cleansing, weighting, interpolation and spectra.

use pulp::{Arch, NullaryFnOnce};

use crate::health::{ClipRuns, cleanse};
use crate::k_weighting::KWeighting;
use crate::sums::Sums;
use crate::third_octaves::{ThirdOctaves, TierFrame};
use crate::true_peak::{DELAY_FRAMES, TruePeak, larger};
use crate::{Channels, Faults, Hertz, QUANTUM};

/// A quantum of sound and what was made of it.
pub(crate) struct Quantum {
    /// Left and right; of a mono bus both are the same.
    pub(crate) plain: [[f32; QUANTUM]; 2],
    /// K-weighted.
    pub(crate) weighted: [[f64; QUANTUM]; 2],
    /// Largest interpolated amplitude at each frame.
    pub(crate) peaks: [f32; QUANTUM],
    /// Channels in which a clipped run became one at each frame.
    clip_ends: [u8; QUANTUM],
    has_clipped: bool,
}

impl Quantum {
    pub(crate) const SILENCE: Self = Self {
        plain: [[0.0; QUANTUM]; 2],
        weighted: [[0.0; QUANTUM]; 2],
        peaks: [0.0; QUANTUM],
        clip_ends: [0; QUANTUM],
        has_clipped: false,
    };
}

/// The instruments of one bus. Whatever vectors the processor has are found out once; the figures are the
/// same with all of them but for the transforms' last bits.
pub(crate) struct Instruments {
    arch: Arch,
    channels: Channels,
    weighting: KWeighting,
    interpolator: TruePeak,
    octaves: ThirdOctaves,
    clip_runs: ClipRuns,
}

impl Instruments {
    pub(crate) fn new(rate: Hertz, channels: Channels) -> Self {
        Self {
            arch: Arch::new(),
            channels,
            weighting: KWeighting::new(rate.0),
            interpolator: TruePeak::new(),
            octaves: ThirdOctaves::new(rate),
            clip_runs: ClipRuns::default(),
        }
    }

    pub(crate) fn octaves(&self) -> &ThirdOctaves {
        &self.octaves
    }

    /// Puts the first `frames` frames of a quantum through all instruments. `found` gets each transform that
    /// became due, with its tier. Gives how many samples were no sound.
    pub(crate) fn measure(
        &mut self,
        quantum: &mut Quantum,
        frames: usize,
        mut found: impl FnMut(usize, &TierFrame),
    ) -> u32 {
        self.arch.dispatch(Measure {
            channels: self.channels.count(),
            weighting: &mut self.weighting,
            interpolator: &mut self.interpolator,
            octaves: &mut self.octaves,
            clip_runs: &mut self.clip_runs,
            quantum,
            frames,
            found: &mut found,
        })
    }

    /// What a measured quantum's frames `from..to` add up to.
    pub(crate) fn sums(&self, quantum: &Quantum, from: usize, to: usize) -> Sums {
        let mut sums = self.arch.dispatch(AddUp { quantum, from, to });
        if quantum.has_clipped {
            let clipped_runs = quantum.clip_ends[from..to].iter().map(|ends| u32::from(*ends)).sum();
            sums.faults = Faults { clipped_runs, ..sums.faults };
        }
        sums
    }

    /// The true peak that the interpolator still holds when the sound is over.
    pub(crate) fn last_true_peak(&mut self) -> f32 {
        let mut peaks = [0f32; QUANTUM];
        self.interpolator.peaks(&[[0.0; QUANTUM]; 2], DELAY_FRAMES, &mut peaks);
        peaks[..DELAY_FRAMES].iter().fold(0f32, |peak, x| larger(peak, *x))
    }

    /// A quantum of silence for the spectra alone, when the sound is over.
    pub(crate) fn drain_octaves(&mut self, found: impl FnMut(usize, &TierFrame)) {
        self.octaves.feed(&[[0.0; QUANTUM]; 2], QUANTUM, found);
    }

    /// Forgets all sound; the next frame is `origin`.
    pub(crate) fn clear(&mut self, origin: u64) {
        self.weighting.clear();
        self.interpolator.clear();
        self.octaves.clear(origin);
        self.clip_runs.clear();
    }
}

/// The work on a quantum, compiled anew for each instruction set. (A closure would be compiled for the poorest
/// and called.)
struct Measure<'a, F> {
    channels: usize,
    weighting: &'a mut KWeighting,
    interpolator: &'a mut TruePeak,
    octaves: &'a mut ThirdOctaves,
    clip_runs: &'a mut ClipRuns,
    quantum: &'a mut Quantum,
    frames: usize,
    found: &'a mut F,
}

impl<F: FnMut(usize, &TierFrame)> NullaryFnOnce for Measure<'_, F> {
    type Output = u32;

    #[inline(always)]
    fn call(self) -> u32 {
        let Self { channels, weighting, interpolator, octaves, clip_runs, quantum, frames, found } = self;
        let mut bad = 0;
        for samples in &mut quantum.plain[..channels] {
            bad += cleanse(&mut samples[..frames]);
        }
        if channels == 1 {
            quantum.plain[1] = quantum.plain[0];
        }
        let samples = quantum.plain.as_flattened().iter();
        let peak = samples.fold(0f32, |peak, x| larger(peak, x.abs()));
        quantum.has_clipped =
            clip_runs.follow(&quantum.plain, frames, channels, peak, &mut quantum.clip_ends);
        weighting.weight(&quantum.plain, frames, &mut quantum.weighted);
        interpolator.peaks(&quantum.plain, frames, &mut quantum.peaks);
        octaves.feed(&quantum.plain, frames, found);
        bad
    }
}

/// The adding up of a stretch, likewise.
struct AddUp<'a> {
    quantum: &'a Quantum,
    from: usize,
    to: usize,
}

impl NullaryFnOnce for AddUp<'_> {
    type Output = Sums;

    #[inline(always)]
    fn call(self) -> Sums {
        Sums::of(self.quantum, self.from, self.to)
    }
}
