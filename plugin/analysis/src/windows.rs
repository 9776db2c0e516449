//! The sliding windows: momentary and short-term loudness, sliding by 20 ms, and what is shown of the last
//! three seconds.

use crate::bands::BAND_COUNT;
use crate::sums::Sums;
use crate::third_octaves::TierFrame;
use crate::{BandPower, BandPowers, Power};

/// Slices a second: a slice is 20 ms. EBU Tech 3341 v4 (2023) case 13 fails with windows that slide by more.
pub(crate) const SLICES_PER_S: f64 = 50.0;
/// Slices of a chunk of 100 ms.
pub(crate) const SLICES_PER_CHUNK: u32 = 5;
/// Slices of the momentary window, 400 ms: EBU Tech 3341 v4 (2023) sec. 2.2.
pub(crate) const MOMENTARY_SLICES: usize = 20;
/// Slices of the short-term window, 3 s: EBU Tech 3341 v4 (2023) sec. 2.2.
pub(crate) const SHORT_TERM_SLICES: usize = 150;
/// Chunks of what is shown of the last 3 s.
const CHUNKS_3S: usize = 30;

/// K-weighted energies of the last slices.
pub(crate) struct Slices {
    energies: [f64; SHORT_TERM_SLICES],
    frames: [u32; SHORT_TERM_SLICES],
    next: usize,
}

impl Slices {
    pub(crate) const fn new() -> Self {
        Self { energies: [0.0; SHORT_TERM_SLICES], frames: [0; SHORT_TERM_SLICES], next: 0 }
    }

    pub(crate) fn push(&mut self, energy: f64, frames: u32) {
        self.energies[self.next] = energy;
        self.frames[self.next] = frames;
        self.next = (self.next + 1) % SHORT_TERM_SLICES;
    }

    /// K-weighted power of the last `count` slices; of fewer, when fewer have been: the rest is silence.
    pub(crate) fn power(&self, count: usize) -> f64 {
        // Oldest first, so that the same slices give the same sum wherever they lie in the ring.
        let start = self.next + SHORT_TERM_SLICES - count;
        let (mut energy, mut frames) = (0.0, 0u32);
        for i in start..start + count {
            let i = i % SHORT_TERM_SLICES;
            energy += self.energies[i];
            frames += self.frames[i];
        }
        // Before the first slice there are none: their length is that of the ones there are.
        let slices = self.frames.iter().filter(|f| **f > 0).count().min(count).max(1);
        energy / (f64::from(frames.max(1)) * count as f64 / slices as f64)
    }

    pub(crate) fn clear(&mut self) {
        *self = Self::new();
    }
}

/// One chunk's share of what is shown of the last 3 s.
#[derive(Clone, Copy)]
struct ChunkSums {
    sums: Sums,
    bands: [[f32; 3]; BAND_COUNT],
    /// Transforms of each band's tier in the chunk.
    transforms: [u16; BAND_COUNT],
}

const NO_CHUNK: ChunkSums =
    ChunkSums { sums: Sums::NONE, bands: [[0.0; 3]; BAND_COUNT], transforms: [0; BAND_COUNT] };

/// The last 3 s, chunk by chunk.
pub(crate) struct Chunks {
    ring: Vec<ChunkSums>,
    next: usize,
    current: ChunkSums,
}

impl Chunks {
    pub(crate) fn new() -> Self {
        Self { ring: vec![NO_CHUNK; CHUNKS_3S], next: 0, current: NO_CHUNK }
    }

    /// The chunk that grows.
    pub(crate) fn current(&mut self) -> &mut Sums {
        &mut self.current.sums
    }

    pub(crate) fn add_bands(&mut self, frame: &TierFrame) {
        for band in frame.bands.clone() {
            let BandPower { left, right, mid } = frame.powers[band];
            for (sum, power) in self.current.bands[band].iter_mut().zip([left, right, mid]) {
                *sum += power;
            }
            self.current.transforms[band] += 1;
        }
    }

    /// Ends the chunk that grows; gives it.
    pub(crate) fn close(&mut self) -> Sums {
        let sums = self.current.sums;
        self.ring[self.next] = self.current;
        self.next = (self.next + 1) % CHUNKS_3S;
        self.current = NO_CHUNK;
        sums
    }

    /// Largest true peak of the last 3 s.
    pub(crate) fn true_peak(&self) -> f32 {
        self.ring
            .iter()
            .fold(0f32, |peak, chunk| peak.max(chunk.sums.true_peak))
            .max(self.current.sums.true_peak)
    }

    /// K-weighted and unweighted powers of the last 3 s.
    pub(crate) fn powers(&self) -> [Power; 2] {
        let mut all = Sums::NONE;
        self.in_order().for_each(|chunk| all.add(&chunk.sums));
        [all.weighted(), all.plain()]
    }

    /// Band powers of the last 3 s.
    pub(crate) fn bands(&self) -> BandPowers {
        let mut sums = [[0f32; 3]; BAND_COUNT];
        let mut transforms = [0u32; BAND_COUNT];
        for chunk in self.in_order() {
            for (sum, more) in sums.as_flattened_mut().iter_mut().zip(chunk.bands.as_flattened()) {
                *sum += more;
            }
            for (sum, more) in transforms.iter_mut().zip(chunk.transforms) {
                *sum += u32::from(more);
            }
        }
        std::array::from_fn(|band| {
            let count = transforms[band].max(1) as f32;
            let [left, right, mid] = sums[band].map(|sum| sum / count);
            BandPower { left, right, mid }
        })
    }

    pub(crate) fn clear(&mut self) {
        self.ring.fill(NO_CHUNK);
        self.next = 0;
        self.current = NO_CHUNK;
    }

    /// Oldest first.
    fn in_order(&self) -> impl Iterator<Item = &ChunkSums> {
        let (newer, older) = self.ring.split_at(self.next);
        older.iter().chain(newer)
    }
}
