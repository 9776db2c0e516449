//! Cuts the song into cells, and waits for the bands of each to be complete.

use crate::bands::BAND_COUNT;
use crate::sums::Sums;
use crate::third_octaves::TierFrame;
use crate::transport::Clock;
use crate::{BandPower, Cell, Channels, Place, Sink};

/// Cells that can wait for their bands at once. The lowest tier lags by about a second and a half, which are
/// four cells at an ordinary tempo.
const WAITING: usize = 64;

/// A pass fills a cell when it covers this much of it.
pub(crate) const FILLED: f64 = 0.9;

/// A frame more or less, and the rounding of a coverage in single precision.
pub(crate) const COVERAGE_ROUNDING: f64 = 1e-3;

/// Where a position that lies on a cell's border by all but rounding belongs to.
const ROUNDING: f64 = 1e-6;

/// A cell at a pass's border is told by the windows that saw nothing of another pass, where they stand for this
/// much of it.
const CLEAN_ENOUGH: f64 = 0.25;

/// Borders of passes that are remembered: more than the windows in flight can straddle, save in a loop of a few
/// milliseconds.
const BORDERS: usize = 8;

/// Band energies: power times frames.
#[derive(Clone)]
struct BandEnergies {
    energies: [[f64; 3]; BAND_COUNT],
    /// Frames that the energies stand for.
    frames: [f64; BAND_COUNT],
}

impl BandEnergies {
    const NONE: Self = Self { energies: [[0.0; 3]; BAND_COUNT], frames: [0.0; BAND_COUNT] };

    /// Adds a transform's powers over `frames` frames, with the energy of `weight` frames.
    fn add(&mut self, frame: &TierFrame, frames: f64, weight: f64) {
        for band in frame.bands.clone() {
            let BandPower { left, right, mid } = frame.powers[band];
            for (energy, power) in self.energies[band].iter_mut().zip([left, right, mid]) {
                *energy += f64::from(power) * weight;
            }
            self.frames[band] += frames;
        }
    }
}

/// One cell, open or waiting.
#[derive(Clone)]
struct Slot {
    index: i64,
    by_beats: bool,
    place: Place,
    start: u64,
    /// End, once closed.
    end: Option<u64>,
    /// How much of it was heard, in cells.
    covered: f64,
    sums: Sums,
    short_term: f64,
    true_peak_3s: f32,
    bands: BandEnergies,
    /// The same of those windows alone that saw nothing of another pass.
    clean: BandEnergies,
}

/// Cuts cells.
pub(crate) struct CellCutter {
    channels: Channels,
    /// Waiting cells, oldest first, and the open one last.
    slots: Vec<Slot>,
    /// Whether the last one is open: asked for every quantum, so it is not made out of the slot's end.
    open: bool,
    /// The frame at which the open cell ends.
    border: u64,
    /// Up to where each tier has told its bands.
    told: Vec<i64>,
    /// Frames at which passes began or ended, in a ring.
    borders: [i64; BORDERS],
    oldest_border: usize,
    /// The first frame: before it there is nothing.
    origin: i64,
}

impl CellCutter {
    pub(crate) fn new(channels: Channels, tiers: usize) -> Self {
        Self {
            channels,
            slots: Vec::with_capacity(WAITING),
            open: false,
            border: u64::MAX,
            told: vec![i64::MIN; tiers],
            borders: [i64::MIN; BORDERS],
            oldest_border: 0,
            origin: 0,
        }
    }

    /// The frame at which the open cell ends; far away when none is open.
    pub(crate) fn border(&self) -> u64 {
        self.border
    }

    /// A pass begins or ends at frame `at`: what sounds before and after belongs to different places.
    pub(crate) fn mark_border(&mut self, at: u64) {
        if at as i64 > self.origin {
            self.borders[self.oldest_border] = at as i64;
            self.oldest_border = (self.oldest_border + 1) % BORDERS;
        }
    }

    /// Opens the cell that frame `at` lies in, where there is room for it.
    pub(crate) fn open(&mut self, clock: &Clock, at: u64) {
        self.border = Self::next_border(clock, at);
        if self.slots.len() == WAITING {
            return;
        }
        self.slots.push(Slot {
            index: Self::index(clock, at),
            by_beats: clock.by_beats(),
            place: Place::default(),
            start: at,
            end: None,
            covered: 0.0,
            sums: Sums::NONE,
            short_term: 0.0,
            true_peak_3s: 0.0,
            bands: BandEnergies::NONE,
            clean: BandEnergies::NONE,
        });
        self.open = true;
    }

    /// The clock has changed at frame `at`, within the pass: the open cell goes on under it if it is the same
    /// cell. Gives whether another cell must be opened.
    pub(crate) fn retime(&mut self, clock: &Clock, at: u64) -> bool {
        let same = self
            .open_slot()
            .is_some_and(|slot| slot.index == Self::index(clock, at) && slot.by_beats == clock.by_beats());
        if same {
            self.border = Self::next_border(clock, at);
        }
        !same
    }

    /// Adds a stretch of sound to the open cell.
    #[inline(always)]
    pub(crate) fn add(&mut self, sums: &Sums, clock: &Clock) {
        let share = f64::from(sums.frames) * clock.cells_per_frame();
        if let Some(slot) = self.open_slot() {
            slot.sums.add(sums);
            slot.covered += share;
        }
    }

    /// Closes the open cell at frame `at`. It is dropped when less than `enough` of it was heard.
    pub(crate) fn close(&mut self, at: u64, place: Place, short_term: f64, true_peak_3s: f32, enough: f64) {
        self.border = u64::MAX;
        let Some(slot) = self.open_slot() else { return };
        slot.place = place;
        slot.end = Some(at);
        slot.short_term = short_term;
        slot.true_peak_3s = true_peak_3s;
        let keep = slot.sums.frames > 0 && slot.covered + COVERAGE_ROUNDING >= enough;
        self.open = false;
        if !keep {
            self.slots.pop();
        }
    }

    /// Gives a transform's powers to the cells that it stands for, by how much of each it covers. Before the
    /// first frame and after `end` (a file's) there is nothing: what the window saw belongs inside.
    pub(crate) fn add_bands(&mut self, tier: usize, frame: &TierFrame, end: Option<u64>) {
        let whole = frame.stretch.clone();
        let hop = (whole.end - whole.start) as f64;
        let last = end.map_or(i64::MAX, |end| end as i64);
        let inside = whole.start.clamp(self.origin, last)..whole.end.clamp(self.origin, last);
        if let Some(told) = self.told.get_mut(tier) {
            // A window is two hops long, so the first whose centre lies after the end is the last that saw anything.
            let all_told = whole.start + (whole.end - whole.start) / 2 >= last;
            *told = if all_told { i64::MAX } else { whole.end.min(last - 1) };
        }
        let straddles =
            self.borders.iter().any(|border| frame.window.start < *border && *border < frame.window.end);
        let length = (inside.end - inside.start) as f64;
        if length == 0.0 {
            if whole.start >= last
                && let Some(slot) = self.slots.last_mut()
            {
                slot.add_bands(frame, 0.0, hop, straddles);
            }
            return;
        }
        for slot in &mut self.slots {
            let slot_end = slot.end.map_or(i64::MAX, |end| end as i64);
            let overlap = inside.end.min(slot_end) - inside.start.max(slot.start as i64);
            if overlap > 0 {
                slot.add_bands(frame, overlap as f64, overlap as f64 * hop / length, straddles);
            }
        }
    }

    /// Gives away the cells whose bands are complete.
    pub(crate) fn give(&mut self, sink: &mut impl Sink) {
        let told = self.told.iter().copied().min().unwrap_or(i64::MAX);
        let ready =
            self.slots.iter().take_while(|slot| slot.end.is_some_and(|end| told >= end as i64)).count();
        for slot in self.slots.drain(..ready) {
            sink.cell(&slot.cell(self.channels));
        }
    }

    /// Whether no cell waits.
    pub(crate) fn is_empty(&self) -> bool {
        self.slots.is_empty()
    }

    /// Forgets all; the next frame is `origin`.
    pub(crate) fn clear(&mut self, origin: u64) {
        self.origin = origin as i64;
        self.borders = [i64::MIN; BORDERS];
        self.slots.clear();
        self.open = false;
        self.border = u64::MAX;
        self.told.fill(i64::MIN);
    }

    fn open_slot(&mut self) -> Option<&mut Slot> {
        if self.open { self.slots.last_mut() } else { None }
    }

    fn index(clock: &Clock, at: u64) -> i64 {
        (clock.cells(at) + ROUNDING).floor() as i64
    }

    /// The first frame of the next cell, at least one frame on.
    fn next_border(clock: &Clock, at: u64) -> u64 {
        let next = (Self::index(clock, at) as f64) + 1.0;
        let frames = (next - clock.cells(at)) / clock.cells_per_frame();
        at.saturating_add(((frames - ROUNDING).ceil() as u64).max(1))
    }
}

impl Slot {
    fn add_bands(&mut self, frame: &TierFrame, frames: f64, weight: f64, straddles: bool) {
        self.bands.add(frame, frames, weight);
        if !straddles {
            self.clean.add(frame, frames, weight);
        }
    }

    /// A band's powers: by the windows that saw nothing of another pass where they stand for enough of the
    /// cell, else by all.
    fn band(&self, band: usize) -> BandPower {
        let frames = f64::from(self.sums.frames);
        let clean_frames = self.clean.frames[band];
        let all_clean = clean_frames >= self.bands.frames[band];
        let (energies, frames) = if !all_clean && clean_frames >= CLEAN_ENOUGH * frames {
            (&self.clean.energies[band], clean_frames)
        } else {
            (&self.bands.energies[band], frames)
        };
        let [left, right, mid] = energies.map(|energy| (energy / frames) as f32);
        BandPower { left, right, mid }
    }

    fn cell(&self, channels: Channels) -> Cell {
        Cell {
            channels,
            index: self.index,
            by_beats: self.by_beats,
            place: self.place,
            start_frame: self.start,
            frames: self.sums.frames,
            coverage: self.covered.min(1.0) as f32,
            weighted: self.sums.weighted(),
            plain: self.sums.plain(),
            short_term_power: self.short_term,
            true_peak_3s: self.true_peak_3s,
            true_peak: self.sums.true_peak,
            bands: std::array::from_fn(|band| self.band(band)),
        }
    }
}
