//! The Analyzer: puts the measures together.

mod passes;

use crate::cells::{CellCutter, FILLED};
use crate::instruments::{Instruments, Quantum};
use crate::pass::PassMeter;
use crate::sums::Sums;
use crate::transport::Clock;
use crate::windows::{Chunks, MOMENTARY_SLICES, SHORT_TERM_SLICES, SLICES_PER_CHUNK, SLICES_PER_S, Slices};
use crate::{
    Build, Channels, Hertz, LoudnessHistogram, Place, Position, QUANTUM, Reading, Sink, UnsupportedRate,
};

/// What the host tells beside the position itself.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
struct Told {
    /// It has no transport: sound begins and ends passes.
    by_sound: bool,
    preroll: bool,
    offline: bool,
}

/// Measures one bus.
///
/// ```
/// use candlemark_analysis::{Analyzer, Cell, Channels, Hertz, Lufs, Position, Reading, Sink};
///
/// struct Last(Option<Reading>);
/// impl Sink for Last {
///     fn reading(&mut self, reading: &Reading) {
///         self.0 = Some(*reading);
///     }
///     fn cell(&mut self, _cell: &Cell) {}
/// }
///
/// // Five seconds of a 1 kHz sine at −23 dBFS in both channels: −23 LUFS.
/// let amplitude = 10f32.powf(-23.0 / 20.0);
/// let sine: Vec<f32> =
///     (0..240_000).map(|n| amplitude * (n as f32 * std::f32::consts::TAU / 48.0).sin()).collect();
/// let mut analyzer = Analyzer::new(Hertz(48_000.0), Channels::Stereo)?;
/// let mut last = Last(None);
/// analyzer.push(&sine, &sine, Position::in_file(0), &mut last);
/// analyzer.finish(&mut last);
/// let integrated = Lufs::of_power(last.0.unwrap().pass.integrated_power).unwrap();
/// assert!((integrated.0 + 23.0).abs() < 0.1);
/// # Ok::<(), candlemark_analysis::UnsupportedRate>(())
/// ```
pub struct Analyzer {
    rate: Hertz,
    channels: Channels,

    /// Sound that is being gathered, how much of it there is, and how many of its samples were no sound.
    quantum: Box<Quantum>,
    gathered: usize,
    bad: u32,
    /// Frames measured, without the gathered ones.
    measured: u64,

    instruments: Instruments,

    /// The slice of 20 ms that grows, how many have ended, and the frame at which this one will.
    slice: Sums,
    /// Where the slices are counted from.
    grid_start: u64,
    slices_ended: u64,
    slice_end: u64,
    slices: Slices,
    chunks: Chunks,
    chunk_slices: u32,

    pass: PassMeter,
    pass_number: u32,
    /// Runs while a pass does.
    clock: Option<Clock>,
    /// Whether the slices that end count for the pass: from the first border after its start.
    counting: bool,
    /// A pass began or ended inside the slice that grows: the place where the one before ended.
    broken_at: Option<Place>,
    /// True peak since then: of the pass that begins there, and of none of its windows.
    peak_since_break: f32,
    told: Told,
    /// Chunks in a row without sound, where sound begins and ends passes.
    quiet_chunks: u32,

    cells: CellCutter,
}

impl Analyzer {
    /// The sample rates that can be measured at: 8 kHz to 384 kHz.
    pub const RATES: std::ops::RangeInclusive<f64> = 8000.0..=384_000.0;

    /// Makes an Analyzer. Allocates all that it will ever need.
    ///
    /// # Errors
    ///
    /// A rate outside [`Analyzer::RATES`], or NaN.
    pub fn new(sample_rate: Hertz, channels: Channels) -> Result<Self, UnsupportedRate> {
        Self::of_build(sample_rate, channels, Build::default())
    }

    /// The same, of another build than the usual one.
    ///
    /// # Errors
    ///
    /// As [`Analyzer::new`].
    pub fn of_build(sample_rate: Hertz, channels: Channels, build: Build) -> Result<Self, UnsupportedRate> {
        if !Self::RATES.contains(&sample_rate.0) {
            return Err(UnsupportedRate(sample_rate));
        }
        let instruments = Instruments::new(sample_rate, channels, build);
        let cells = CellCutter::new(channels, instruments.octaves().tier_count());
        let mut analyzer = Self {
            rate: sample_rate,
            channels,
            quantum: Box::new(Quantum::SILENCE),
            gathered: 0,
            bad: 0,
            measured: 0,
            instruments,
            slice: Sums::NONE,
            grid_start: 0,
            slices_ended: 0,
            slice_end: 0,
            slices: Slices::new(),
            chunks: Chunks::new(),
            chunk_slices: 0,
            pass: PassMeter::new(),
            pass_number: 0,
            clock: None,
            counting: false,
            broken_at: None,
            peak_since_break: 0.0,
            told: Told::default(),
            quiet_chunks: 0,
            cells,
        };
        analyzer.begin();
        Ok(analyzer)
    }

    /// Measures a block. `left` and `right` hold the same number of frames (of a longer one the rest is not
    /// measured); of a mono bus, `right` is not read. An empty block does nothing.
    ///
    /// Samples that are NaN, infinite or beyond ±10⁶ are counted and measured as zero.
    ///
    /// # Realtime safety
    ///
    /// Allocates nothing, takes no lock, makes no system call; `sink` is called on this thread.
    // Not inlined: so a profile of a plugin tells the measuring from what is around it.
    #[inline(never)]
    pub fn push(&mut self, left: &[f32], right: &[f32], position: Position, sink: &mut impl Sink) {
        let right = if self.channels == Channels::Mono { left } else { right };
        let frames = left.len().min(right.len());
        if frames == 0 {
            return;
        }
        self.follow(&position, sink);
        let (mut left, mut right) = (&left[..frames], &right[..frames]);
        while !left.is_empty() {
            let n = (QUANTUM - self.gathered).min(left.len());
            self.bad += self.instruments.gather(&mut self.quantum, self.gathered, &left[..n], &right[..n]);
            (left, right) = (&left[n..], &right[n..]);
            self.gathered += n;
            if self.gathered == QUANTUM {
                self.measure(sink);
            }
        }
    }

    /// Ends a file: measures what is still in the delays, and closes the last chunk and the last cell,
    /// however short. Always gives a last reading. Appends 1.5 s of silence for the loudness range alone
    /// (EBU Tech 3342). Nothing is to be pushed after it but after a [`Analyzer::clear`].
    pub fn finish(&mut self, sink: &mut impl Sink) {
        self.break_off(true, sink);
    }

    /// Closes what is open, as sound ends here: a file's, or that before a host's reset.
    fn break_off(&mut self, ends_file: bool, sink: &mut impl Sink) {
        self.measure(sink);
        let end = self.measured;
        let tail_peak = self.instruments.last_true_peak();
        self.slice.true_peak = self.slice.true_peak.max(tail_peak);

        let slice = std::mem::replace(&mut self.slice, Sums::NONE);
        self.chunks.current().add(&slice);
        self.pass.last_true_peak(slice.true_peak);
        if let Some(clock) = &self.clock {
            self.cells.add(&Sums::of_peak(tail_peak), clock);
        }
        let [momentary, short_term] = self.loudness_now();
        if ends_file {
            let slice_frames = (self.rate.0 / SLICES_PER_S).round() as u32;
            let broken_off = (slice.loudness_energy(self.channels), slice.frames);
            self.pass.close_range(&mut self.slices, broken_off, self.chunk_slices, slice_frames);
        }
        let place = self.place(end);
        let enough = if ends_file { 0.0 } else { FILLED };
        self.cells.close(end, place, short_term, self.chunks.true_peak(), enough);
        if ends_file || self.chunks.current().frames > 0 {
            self.give_reading(end, place, [momentary, short_term], sink);
        }
        // The bands of the last cell come when their windows have passed.
        while !self.cells.is_empty() {
            let cells = &mut self.cells;
            self.instruments.drain_octaves(|tier, frame| cells.add_bands(tier, frame, Some(end)));
            self.cells.give(sink);
        }
    }

    /// Forgets the pass's figures (integrated, range, maxima), as EBU Tech 3341 v4 (2023) sec. 2.2 asks of a
    /// reset. Works in pause too. Realtime safe.
    pub fn reset_pass(&mut self) {
        self.pass.reset();
    }

    /// Holds (or goes on with) the pass's figures, as EBU Tech 3341 v4 (2023) sec. 2.2 asks of pause and
    /// continue. The sliding windows and the cells go on. Realtime safe.
    pub fn set_paused(&mut self, paused: bool) {
        self.pass.set_paused(paused);
    }

    /// Clears filters and windows, as at a host's reset: the sound before and the sound after have nothing
    /// to do with each other. Ends the pass, whose figures stay until the next begins; the cells that it filled are given.
    ///
    /// # Realtime safety
    ///
    /// As [`Analyzer::push`]; where cells still wait for their bands, it costs the third octaves' work of up to two hops
    /// of the lowest tier: 1.4 s at 48 kHz, 2 s at 8 kHz.
    pub fn clear(&mut self, sink: &mut impl Sink) {
        self.break_off(false, sink);
        self.begin();
    }

    /// Makes ready for sound that comes after nothing.
    fn begin(&mut self) {
        self.grid_start = self.measured;
        self.instruments.clear(self.measured);
        self.slice = Sums::NONE;
        self.slices_ended = 0;
        self.slice_end = self.slice_end_after(0);
        self.slices.clear();
        self.chunks.clear();
        self.chunk_slices = 0;
        self.clock = None;
        self.counting = false;
        self.broken_at = None;
        self.told = Told::default();
        self.quiet_chunks = 0;
        self.cells.clear(self.measured);
    }

    /// How far in the past the centre of a band's window lies when it is measured, in seconds, for band
    /// `index`; 0 for a band that the sample rate does not carry.
    pub fn band_delay_s(&self, index: usize) -> f64 {
        let octaves = self.instruments.octaves();
        octaves.tier_of(index).map_or(0.0, |tier| octaves.delay_frames(tier) as f64 / self.rate.0)
    }

    /// The sample rate it was made for.
    pub fn sample_rate(&self) -> Hertz {
        self.rate
    }

    /// Measures what has been gathered.
    fn measure(&mut self, sink: &mut impl Sink) {
        let frames = std::mem::take(&mut self.gathered);
        if frames == 0 {
            return;
        }
        let Self { instruments, quantum, cells, chunks, .. } = self;
        instruments.measure(quantum, frames, |tier, frame| {
            cells.add_bands(tier, frame, None);
            chunks.add_bands(frame);
        });
        self.slice.faults.non_finite += std::mem::take(&mut self.bad);

        let mut from = 0;
        while from < frames {
            let here = self.measured + from as u64;
            let border = self.slice_end.min(self.cells.border()).min(self.measured + frames as u64);
            let to = from + (border - here) as usize;
            let sums = self.instruments.sums(&self.quantum, from, to);
            self.slice.add(&sums);
            self.peak_since_break = self.peak_since_break.max(sums.true_peak);
            if let Some(clock) = &self.clock {
                self.cells.add(&sums, clock);
            }
            from = to;
            if border == self.slice_end {
                self.close_slice(border, sink);
            }
            if border == self.cells.border() {
                self.reopen_cell(border, self.place(border));
            }
        }
        self.measured += frames as u64;
        self.cells.give(sink);
    }

    fn close_slice(&mut self, at: u64, sink: &mut impl Sink) {
        let slice = std::mem::replace(&mut self.slice, Sums::NONE);
        self.slices.push(slice.loudness_energy(self.channels), slice.frames);
        self.chunks.current().add(&slice);
        self.chunk_slices += 1;
        self.slices_ended += 1;
        self.slice_end = self.slice_end_after(self.slices_ended);
        if let Some(before) = self.broken_at.take() {
            self.begin_counting(at, before, sink);
            return;
        }
        if self.counting {
            self.pass.slice(&self.slices, slice.true_peak);
        }
        if self.chunk_slices == SLICES_PER_CHUNK {
            self.close_chunk(at, self.place(at), sink);
        }
    }

    fn close_chunk(&mut self, at: u64, place: Place, sink: &mut impl Sink) {
        let loudness = self.loudness_now();
        let [momentary, short_term] = loudness;
        if self.counting && self.chunk_slices == SLICES_PER_CHUNK {
            self.pass.chunk(momentary, short_term);
        }
        let true_peak = self.give_reading(at, place, loudness, sink);
        if self.told.by_sound {
            let sounds = momentary > LoudnessHistogram::ABSOLUTE_GATE.power();
            self.follow_sound(at, place, (sounds, true_peak), sink);
        }
    }

    /// Ends the chunk; gives its true peak.
    fn give_reading(&mut self, at: u64, place: Place, loudness: [f64; 2], sink: &mut impl Sink) -> f32 {
        let sums = self.chunks.close();
        self.chunk_slices = 0;
        let [weighted_3s, plain_3s] = self.chunks.powers();
        sink.reading(&Reading {
            channels: self.channels,
            end_frame: at,
            frames: sums.frames,
            place,
            weighted: sums.weighted(),
            plain: sums.plain(),
            mean: sums.mean(),
            sample_peak: sums.sample_peak,
            true_peak: sums.true_peak,
            faults: sums.faults,
            momentary_power: loudness[0],
            short_term_power: loudness[1],
            true_peak_3s: self.chunks.true_peak(),
            weighted_3s,
            plain_3s,
            bands_3s: self.chunks.bands(),
            pass: self.pass.figures(),
        });
        sums.true_peak
    }

    /// Momentary and short-term power at the last slice's end.
    fn loudness_now(&self) -> [f64; 2] {
        [MOMENTARY_SLICES, SHORT_TERM_SLICES].map(|count| self.slices.power(count))
    }

    fn place(&self, at: u64) -> Place {
        let clock = self.clock.as_ref();
        Place {
            pass: if clock.is_some() { self.pass_number } else { 0 },
            song_s: clock.map_or(0.0, |clock| clock.song_s(at)),
            beats: clock.and_then(|clock| clock.beats(at)),
            offline: self.told.offline,
            preroll: self.told.preroll,
        }
    }

    /// The frame at which slice number `ended` (from 0) ends, to the nearest frame.
    fn slice_end_after(&self, ended: u64) -> u64 {
        self.grid_start + ((ended + 1) as f64 * self.rate.0 / SLICES_PER_S).round() as u64
    }
}
