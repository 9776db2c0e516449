//! What a pass adds up to: integrated loudness, range and maxima, from its start, with pause and reset.

use crate::windows::{MOMENTARY_SLICES, SHORT_TERM_SLICES, SLICES_PER_CHUNK, SLICES_PER_S, Slices};
use crate::{LoudnessHistogram, PassFigures};

/// Silence that ends a file, for the loudness range: EBU Tech 3342 v4 (2023), for file-based meters.
const CLOSING_SILENCE_S: f64 = 1.5;

/// The figures of one pass as they grow.
pub(crate) struct PassMeter {
    gating_blocks: LoudnessHistogram,
    short_terms: LoudnessHistogram,
    momentary_max: f64,
    short_term_max: f64,
    true_peak: f32,
    /// Slices without a break since the pass began, was reset, or went on after a pause.
    slices: usize,
    /// Slices that counted.
    counted: u64,
    paused: bool,
    absolute_gate: f64,
}

impl PassMeter {
    pub(crate) fn new() -> Self {
        Self {
            gating_blocks: LoudnessHistogram::default(),
            short_terms: LoudnessHistogram::default(),
            momentary_max: 0.0,
            short_term_max: 0.0,
            true_peak: 0.0,
            slices: 0,
            counted: 0,
            paused: false,
            absolute_gate: LoudnessHistogram::ABSOLUTE_GATE.power(),
        }
    }

    /// Forgets the figures; stays paused when it was.
    pub(crate) fn reset(&mut self) {
        self.gating_blocks.clear();
        self.short_terms.clear();
        self.momentary_max = 0.0;
        self.short_term_max = 0.0;
        self.true_peak = 0.0;
        self.slices = 0;
        self.counted = 0;
    }

    pub(crate) fn set_paused(&mut self, paused: bool) {
        // Told the same again, as with every block, the windows that have begun go on.
        if paused == self.paused {
            return;
        }
        self.paused = paused;
        self.slices = 0;
    }

    /// A slice has ended. A window counts once it lies wholly inside the pass.
    pub(crate) fn slice(&mut self, slices: &Slices, true_peak: f32) {
        if self.paused {
            return;
        }
        self.slices += 1;
        self.counted += 1;
        self.true_peak = self.true_peak.max(true_peak);
        if self.slices >= MOMENTARY_SLICES {
            self.momentary_max = self.momentary_max.max(slices.power(MOMENTARY_SLICES));
        }
        if self.slices >= SHORT_TERM_SLICES {
            self.short_term_max = self.short_term_max.max(slices.power(SHORT_TERM_SLICES));
        }
    }

    /// A whole chunk of 100 ms has ended: a gating block (400 ms, overlapping by three quarters) and a
    /// short-term value for the range (10 a second) end with it.
    pub(crate) fn chunk(&mut self, momentary: f64, short_term: f64) {
        if self.paused {
            return;
        }
        // Strictly above the gate: ITU-R BS.1770-5 Annex 1, eq. (4).
        if self.slices >= MOMENTARY_SLICES && momentary > self.absolute_gate {
            self.gating_blocks.add(momentary);
        }
        self.count_for_range(short_term);
    }

    fn count_for_range(&mut self, short_term: f64) {
        // At or above the gate: EBU Tech 3342, sec. 3.
        if self.slices >= SHORT_TERM_SLICES && short_term >= self.absolute_gate {
            self.short_terms.add(short_term);
        }
    }

    /// The true peaks that the interpolator still held at a file's end.
    pub(crate) fn last_true_peak(&mut self, true_peak: f32) {
        if !self.paused {
            self.true_peak = self.true_peak.max(true_peak);
        }
    }

    /// A file has ended: silence follows, for the range alone. It goes on where the file broke off: in a slice
    /// whose beginning has `energy` over `frames` frames, `chunk_slices` slices into a chunk. `slices` is
    /// spent.
    pub(crate) fn close_range(
        &mut self,
        slices: &mut Slices,
        (mut energy, mut frames): (f64, u32),
        mut chunk_slices: u32,
        slice_frames: u32,
    ) {
        let mut silence = (CLOSING_SILENCE_S * SLICES_PER_S) as u32 * slice_frames;
        loop {
            let rest = slice_frames.saturating_sub(frames);
            let Some(left) = silence.checked_sub(rest) else { break };
            silence = left;
            slices.push(energy, slice_frames);
            (energy, frames) = (0.0, 0);
            self.slices += 1;
            chunk_slices += 1;
            if chunk_slices == SLICES_PER_CHUNK {
                chunk_slices = 0;
                self.count_for_range(slices.power(SHORT_TERM_SLICES));
            }
        }
    }

    pub(crate) fn figures(&self) -> PassFigures {
        PassFigures {
            integrated_power: self.gating_blocks.integrated_power(),
            gate_power: self.gating_blocks.gate_power().max(self.absolute_gate),
            range_lu: self.short_terms.range_lu(),
            momentary_max_power: self.momentary_max,
            short_term_max_power: self.short_term_max,
            true_peak: self.true_peak,
            seconds: self.counted as f64 / SLICES_PER_S,
        }
    }
}
