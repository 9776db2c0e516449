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

/// K-weighted energies of the last slices. Each stands in the rings twice, a ring's length apart, so that the last ones lie
/// side by side wherever the ring begins.
pub(crate) struct Slices {
    energies: [f64; 2 * SHORT_TERM_SLICES],
    frames: [u32; 2 * SHORT_TERM_SLICES],
    next: usize,
    /// How many there have been, up to all that are kept.
    count: usize,
}

/// Strands that a window's energies are summed in.
const STRANDS: usize = 4;

impl Slices {
    pub(crate) const fn new() -> Self {
        Self { energies: [0.0; _], frames: [0; _], next: 0, count: 0 }
    }

    pub(crate) fn push(&mut self, energy: f64, frames: u32) {
        for place in [self.next, self.next + SHORT_TERM_SLICES] {
            self.energies[place] = energy;
            self.frames[place] = frames;
        }
        self.next = (self.next + 1) % SHORT_TERM_SLICES;
        self.count = (self.count + 1).min(SHORT_TERM_SLICES);
    }

    /// K-weighted power of the last `count` slices; of fewer, when fewer have been: the rest is silence.
    pub(crate) fn power(&self, count: usize) -> f64 {
        let end = self.next + SHORT_TERM_SLICES;
        let last = end - count..end;
        let frames: u32 = self.frames[last.clone()].iter().sum();
        let (fours, rest) = self.energies[last].as_chunks::<STRANDS>();
        let mut strands = [0f64; STRANDS];
        for four in fours {
            for (strand, energy) in strands.iter_mut().zip(four) {
                *strand += energy;
            }
        }
        let energy = strands.iter().sum::<f64>() + rest.iter().sum::<f64>();
        // Before the first slice there are none: their length is that of the ones there are.
        let slices = self.count.min(count).max(1);
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
    /// Left, right and mid of each band, summed over the transforms in the chunk, and how many those were.
    bands: [[f32; 4]; BAND_COUNT],
}

const NO_CHUNK: ChunkSums = ChunkSums { sums: Sums::NONE, bands: [[0.0; 4]; _] };

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
            for (sum, more) in self.current.bands[band].iter_mut().zip([left, right, mid, 1.0]) {
                *sum += more;
            }
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
        let mut sums = [[0f32; 4]; BAND_COUNT];
        for chunk in self.in_order() {
            for (sum, more) in sums.as_flattened_mut().iter_mut().zip(chunk.bands.as_flattened()) {
                *sum += more;
            }
        }
        sums.map(|[left, right, mid, transforms]| {
            let count = transforms.max(1.0);
            BandPower { left: left / count, right: right / count, mid: mid / count }
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
