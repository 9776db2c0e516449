//! The instruments that every quantum goes through: cleansing, weighting, interpolation and spectra.

use pulp::{Arch, Simd, WithSimd};

use crate::health::{ClipRuns, cleansed};
use crate::k_weighting::KWeighting;
use crate::multiply_add::{Fused, InTwoSteps, MultiplyAdd};
use crate::sums::{Sums, largest};
use crate::third_octaves::{ThirdOctaves, TierFrame};
use crate::true_peak::{DELAY_FRAMES, TruePeak};
use crate::{Build, Channels, Hertz, QUANTUM};

/// A quantum of sound and what was made of it.
pub(crate) struct Quantum {
    /// Frames of left and right; of a mono bus both are the same.
    pub(crate) plain: [[f32; 2]; QUANTUM],
    /// K-weighted.
    pub(crate) weighted: [[f64; 2]; QUANTUM],
    /// Largest interpolated amplitude at each frame.
    pub(crate) peaks: [[f32; 2]; QUANTUM],
    /// Channels in which a clipped run became one at each frame.
    clip_ends: [u8; QUANTUM],
    has_clipped: bool,
}

impl Quantum {
    pub(crate) const SILENCE: Self = Self {
        plain: [[0.0; 2]; QUANTUM],
        weighted: [[0.0; 2]; QUANTUM],
        peaks: [[0.0; 2]; QUANTUM],
        clip_ends: [0; QUANTUM],
        has_clipped: false,
    };
}

/// The instruments of one bus. Whatever vectors the processor has are found out once; the figures are the
/// same with all of them but for their last bits.
pub(crate) struct Instruments {
    arch: Arch,
    channels: Channels,
    weighting: KWeighting,
    interpolator: TruePeak,
    octaves: ThirdOctaves,
    clip_runs: ClipRuns,
}

impl Instruments {
    pub(crate) fn new(rate: Hertz, channels: Channels, build: Build) -> Self {
        Self {
            arch: if build.vectors { Arch::new() } else { Arch::Scalar },
            channels,
            weighting: KWeighting::new(rate.0),
            interpolator: TruePeak::new(),
            octaves: ThirdOctaves::new(rate, build),
            clip_runs: ClipRuns::default(),
        }
    }

    pub(crate) fn octaves(&self) -> &ThirdOctaves {
        &self.octaves
    }

    /// Puts sound into a quantum from frame `at` on, where it has room for it. Gives how many samples were no sound.
    pub(crate) fn gather(&self, quantum: &mut Quantum, at: usize, left: &[f32], right: &[f32]) -> u32 {
        let bad = self.arch.dispatch(OnVectors(Gather { quantum, at, left, right }));
        // Both sides of a mono bus are the same.
        bad / (3 - self.channels.count() as u32)
    }

    /// Puts the first `frames` frames of a quantum through all instruments. `found` gets each transform that
    /// became due, with its tier.
    pub(crate) fn measure(
        &mut self,
        quantum: &mut Quantum,
        frames: usize,
        mut found: impl FnMut(usize, &TierFrame),
    ) {
        self.arch.dispatch(OnVectors(Measure {
            channels: self.channels.count(),
            weighting: &mut self.weighting,
            interpolator: &mut self.interpolator,
            octaves: &mut self.octaves,
            clip_runs: &mut self.clip_runs,
            quantum,
            frames,
            found: &mut found,
        }));
    }

    /// What a measured quantum's frames `from..to` add up to.
    pub(crate) fn sums(&self, quantum: &Quantum, from: usize, to: usize) -> Sums {
        let mut sums = self.arch.dispatch(OnVectors(AddUp { quantum, from, to }));
        if quantum.has_clipped {
            sums.faults.clipped_runs = quantum.clip_ends[from..to].iter().map(|ends| u32::from(*ends)).sum();
        }
        sums
    }

    /// The true peak that the interpolator still holds when the sound is over.
    pub(crate) fn last_true_peak(&mut self) -> f32 {
        let mut quantum = Quantum::SILENCE;
        self.arch
            .dispatch(OnVectors(Interpolate { interpolator: &mut self.interpolator, quantum: &mut quantum }));
        largest(quantum.peaks[..DELAY_FRAMES].as_flattened())
    }

    /// A quantum of silence for the spectra alone, when the sound is over.
    pub(crate) fn drain_octaves(&mut self, found: impl FnMut(usize, &TierFrame)) {
        self.arch.dispatch(OnVectors(FeedSilence { octaves: &mut self.octaves, found }));
    }

    /// Forgets all sound; the next frame is `origin`.
    pub(crate) fn clear(&mut self, origin: u64) {
        self.weighting.clear();
        self.interpolator.clear();
        self.octaves.clear(origin);
        self.clip_runs.clear();
    }
}

/// Work that is compiled anew for each instruction set. (A closure would be compiled for the poorest and called.)
trait Work {
    type Output;
    fn work<M: MultiplyAdd>(self) -> Self::Output;
}

/// Gives the work to [`Arch::dispatch`].
struct OnVectors<W>(W);

impl<W: Work> WithSimd for OnVectors<W> {
    type Output = W::Output;

    #[inline(always)]
    fn with_simd<S: Simd>(self, _: S) -> W::Output {
        // Every vector set that pulp chooses has the fused instruction; plain code may run on a processor without.
        if S::IS_SCALAR { self.0.work::<InTwoSteps>() } else { self.0.work::<Fused>() }
    }
}

/// The gathering of sound, frame by frame.
struct Gather<'a> {
    quantum: &'a mut Quantum,
    at: usize,
    left: &'a [f32],
    right: &'a [f32],
}

impl Work for Gather<'_> {
    type Output = u32;

    #[inline(always)]
    fn work<M: MultiplyAdd>(self) -> u32 {
        let Self { quantum, at, left, right } = self;
        let mut bad = 0;
        for (frame, (l, r)) in quantum.plain[at..].iter_mut().zip(left.iter().zip(right)) {
            *frame = [cleansed(*l, &mut bad), cleansed(*r, &mut bad)];
        }
        bad
    }
}

/// The work on a quantum.
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

impl<F: FnMut(usize, &TierFrame)> Work for Measure<'_, F> {
    type Output = ();

    #[inline(always)]
    fn work<M: MultiplyAdd>(self) {
        let Self { channels, weighting, interpolator, octaves, clip_runs, quantum, frames, found } = self;
        let peak = largest(quantum.plain.as_flattened());
        quantum.has_clipped =
            clip_runs.follow(&quantum.plain, frames, channels, peak, &mut quantum.clip_ends);
        weighting.weight::<M>(&quantum.plain, frames, &mut quantum.weighted);
        interpolator.peaks::<M>(&quantum.plain, frames, &mut quantum.peaks);
        octaves.feed::<M>(&quantum.plain[..frames], found);
    }
}

/// The adding up of a stretch.
struct AddUp<'a> {
    quantum: &'a Quantum,
    from: usize,
    to: usize,
}

impl Work for AddUp<'_> {
    type Output = Sums;

    #[inline(always)]
    fn work<M: MultiplyAdd>(self) -> Sums {
        Sums::of::<M>(self.quantum, self.from, self.to)
    }
}

/// What the interpolator still holds.
struct Interpolate<'a> {
    interpolator: &'a mut TruePeak,
    quantum: &'a mut Quantum,
}

impl Work for Interpolate<'_> {
    type Output = ();

    #[inline(always)]
    fn work<M: MultiplyAdd>(self) {
        self.interpolator.peaks::<M>(&self.quantum.plain, DELAY_FRAMES, &mut self.quantum.peaks);
    }
}

/// A quantum of silence for the spectra.
struct FeedSilence<'a, F> {
    octaves: &'a mut ThirdOctaves,
    found: F,
}

impl<F: FnMut(usize, &TierFrame)> Work for FeedSilence<'_, F> {
    type Output = ();

    #[inline(always)]
    fn work<M: MultiplyAdd>(self) {
        self.octaves.feed::<M>(&[[0.0; 2]; QUANTUM], self.found);
    }
}
