//! The Desk: takes in readings and cells as they come, and says what the song measures.
//!
//! The song is the latest pass of every cell, each counted once. A file is one pass of one-second cells; it is
//! measured by the same Desk.

use std::collections::BTreeMap;

use candlemark_analysis::bands::{NOMINAL_HZ, fitting_bands};
use candlemark_analysis::{Cell, Channels, Db, Hertz, Lufs, Power, Reading};

use crate::figures::{BandFigures, Fold, Health, SongFigures, Spread, WorstFold};
use crate::statistics::{median, percentile};

/// The window over which a relative level is taken.
const WINDOW_S: f64 = 3.0;
/// The stretch over which the worst fold is sought.
const WORST_FOLD_S: f64 = 10.0;
/// The loud parts of a song: so many of its loudest seconds.
const LOUD_S: f64 = 30.0;
/// A cell counts for windows when a pass covered this much of it.
const FILLED: f32 = 0.9;

/// Where a cell lies in the song: whether it is counted in pairs of quarter notes, and its number.
type CellKey = (bool, i64);

/// One bus's or one file's song.
pub struct Desk {
    rate: Hertz,
    channels: Channels,
    cells: BTreeMap<CellKey, Cell>,
    last: Option<Reading>,
    heard_frames: u64,
    dc_sum: [f64; 2],
    sample_peak: f32,
    health: Health,
}

impl Desk {
    /// An empty desk for sound of this rate and channel count.
    pub fn new(rate: Hertz, channels: Channels) -> Self {
        Self {
            rate,
            channels,
            cells: BTreeMap::new(),
            last: None,
            heard_frames: 0,
            dc_sum: [0.0; 2],
            sample_peak: 0.0,
            health: Health::default(),
        }
    }

    /// Takes in a reading. Readings come in order.
    pub fn take_reading(&mut self, reading: &Reading) {
        let frames = f64::from(reading.frames);
        let faults = reading.faults;
        if faults.non_finite > 0 && self.health.non_finite_at_s.is_none() {
            self.health.non_finite_at_s = Some(self.heard_frames as f64 / self.rate.0);
        }
        self.heard_frames += u64::from(reading.frames);
        for (sum, mean) in self.dc_sum.iter_mut().zip(reading.mean) {
            *sum += mean * frames;
        }
        self.sample_peak = self.sample_peak.max(reading.sample_peak);
        self.health.clipped_runs += u64::from(faults.clipped_runs);
        self.health.non_finite += u64::from(faults.non_finite);
        self.health.overs += u64::from(reading.true_peak > 1.0);
        self.last = Some(*reading);
    }

    /// Takes in a cell; it replaces what an earlier pass gave.
    pub fn take_cell(&mut self, cell: &Cell) {
        self.cells.insert((cell.by_beats, cell.index), *cell);
    }

    /// The latest reading.
    pub fn last_reading(&self) -> Option<&Reading> {
        self.last.as_ref()
    }

    /// What the song measures so far. Work grows with the song's length; ask once a second, not once a frame.
    pub fn figures(&self) -> SongFigures {
        let Some(last) = &self.last else { return SongFigures::default() };
        let pass = &last.pass;
        let integrated = Lufs::of_power(pass.integrated);
        let true_peak = Db::of_amplitude(pass.true_peak.into());
        let gated = self.gated(pass.gate);
        let windows = self.windows(WINDOW_S);
        SongFigures {
            duration_s: self.heard_frames as f64 / self.rate.0,
            gated_s: gated.frames / self.rate.0,
            integrated,
            momentary_max: Lufs::of_power(pass.momentary_max),
            short_term_max: Lufs::of_power(pass.short_term_max),
            range_lu: pass.range_lu,
            true_peak_dbtp: true_peak,
            sample_peak_dbfs: Db::of_amplitude(self.sample_peak.into()),
            plr: true_peak.zip(integrated).map(|(peak, loudness)| Db(peak.0 - loudness.0)),
            psr_loud: self.psr_loud(&windows),
            fold: Fold { kept: gated.weighted.fold_kept() },
            fold_worst: self.worst_fold(pass.gate),
            correlation: gated.plain.correlation(self.channels),
            bands: self.bands(&gated, &windows, pass.gate),
            health: self.health_of(&gated),
        }
    }

    /// Mean powers of the cells whose own loudness lies above `gate`.
    fn gated(&self, gate: f64) -> Sound {
        let mut sound = Sound::default();
        for cell in self.cells.values().filter(|cell| cell.weighted.total(self.channels) > gate) {
            sound.add(cell);
        }
        sound.mean()
    }

    /// The stretches of at least `seconds` that end with each filled cell, each of cells that follow one
    /// another.
    fn windows(&self, seconds: f64) -> Vec<Window<'_>> {
        let wanted = seconds * self.rate.0 - 0.5;
        let filled: Vec<(&CellKey, &Cell)> =
            self.cells.iter().filter(|(_, cell)| cell.coverage >= FILLED).collect();
        let mut windows = Vec::new();
        let (mut first, mut frames) = (0, 0.0);
        for end in 0..filled.len() {
            if end > 0 && !follows(filled[end - 1].0, filled[end].0) {
                (first, frames) = (end, 0.0);
            }
            frames += f64::from(filled[end].1.frames);
            while frames - f64::from(filled[first].1.frames) >= wanted {
                frames -= f64::from(filled[first].1.frames);
                first += 1;
            }
            if frames >= wanted {
                let mut sound = Sound::default();
                filled[first..=end].iter().for_each(|(_, cell)| sound.add(cell));
                let begin = filled[first].1;
                let start_s = begin.place.song_s - f64::from(begin.frames) / self.rate.0;
                windows.push(Window { sound: sound.mean(), start_s, last: filled[end].1 });
            }
        }
        windows
    }

    fn worst_fold(&self, gate: f64) -> Option<WorstFold> {
        self.windows(WORST_FOLD_S)
            .iter()
            .filter(|window| window.sound.weighted.total(self.channels) > gate)
            .filter_map(|window| Some((window.sound.weighted.fold_kept()?, window.start_s)))
            .min_by(|a, b| a.0.total_cmp(&b.0))
            .map(|(kept, start_s)| WorstFold { fold: Fold { kept: Some(kept) }, at_s: start_s.max(0.0) })
    }

    /// The median of true peak of 3 s less short-term loudness, over the cells' ends of the loudest 30 s.
    fn psr_loud(&self, windows: &[Window<'_>]) -> Option<Db> {
        let mut cells: Vec<&Cell> = windows.iter().map(|window| window.last).collect();
        cells.sort_by(|a, b| b.short_term.total_cmp(&a.short_term));
        let mut seconds = 0.0;
        let mut ratios: Vec<f64> = cells
            .iter()
            .take_while(|cell| {
                let more = seconds < LOUD_S - 0.5;
                seconds += f64::from(cell.frames) / self.rate.0;
                more
            })
            .filter_map(|cell| {
                let peak = Db::of_amplitude(cell.true_peak_3s.into())?;
                Some(peak.0 - Lufs::of_power(cell.short_term)?.0)
            })
            .collect();
        median(&mut ratios).map(Db)
    }

    fn bands(&self, gated: &Sound, windows: &[Window<'_>], gate: f64) -> Vec<BandFigures> {
        let loud: Vec<(&Window<'_>, Lufs)> = windows
            .iter()
            .filter(|window| window.sound.weighted.total(self.channels) > gate)
            .filter_map(|window| Some((window, window.sound.weighted.loudness(self.channels)?)))
            .collect();
        (0..fitting_bands(self.rate))
            .map(|band| {
                let mut relatives: Vec<f64> = loud
                    .iter()
                    .filter_map(|(window, loudness)| {
                        Some(window.sound.bands[band].level_db()?.0 - loudness.0)
                    })
                    .collect();
                let median_db = median(&mut relatives);
                let low_high = percentile(&relatives, 10.0).zip(percentile(&relatives, 90.0));
                let power = gated.bands[band];
                BandFigures {
                    nominal: Hertz(NOMINAL_HZ[band]),
                    level: power.level_db(),
                    relative: median_db.zip(low_high).map(|(median_db, (low_db, high_db))| Spread {
                        low_db,
                        median_db,
                        high_db,
                    }),
                    fold: Fold { kept: power.fold_kept() },
                    correlation: power.correlation(self.channels),
                }
            })
            .collect()
    }

    fn health_of(&self, gated: &Sound) -> Health {
        let frames = self.heard_frames.max(1) as f64;
        let Power { left, right, .. } = gated.plain;
        Health {
            dc_left: self.dc_sum[0] / frames,
            dc_right: self.dc_sum[1] / frames,
            imbalance: (self.channels == Channels::Stereo && left > 0.0 && right > 0.0)
                .then(|| Db::of_power(left / right))
                .flatten(),
            ..self.health
        }
    }
}

/// Whether the second cell begins where the first ends.
fn follows(before: &CellKey, after: &CellKey) -> bool {
    before.0 == after.0 && before.1 + 1 == after.1
}

/// A stretch of cells that follow one another.
struct Window<'a> {
    sound: Sound,
    start_s: f64,
    last: &'a Cell,
}

/// Powers over several cells, each weighing by its length.
#[derive(Clone, Copy, Default)]
struct Sound {
    frames: f64,
    weighted: Power,
    plain: Power,
    bands: [Power; candlemark_analysis::bands::BAND_COUNT],
}

impl Sound {
    fn add(&mut self, cell: &Cell) {
        let frames = f64::from(cell.frames);
        self.frames += frames;
        add(&mut self.weighted, cell.weighted, frames);
        add(&mut self.plain, cell.plain, frames);
        for (sum, band) in self.bands.iter_mut().zip(cell.bands) {
            add(sum, band.into(), frames);
        }
    }

    fn mean(mut self) -> Self {
        let frames = self.frames.max(1.0);
        for power in [&mut self.weighted, &mut self.plain].into_iter().chain(&mut self.bands) {
            power.left /= frames;
            power.right /= frames;
            power.mid /= frames;
        }
        self
    }
}

fn add(sum: &mut Power, power: Power, frames: f64) {
    sum.left += power.left * frames;
    sum.right += power.right * frames;
    sum.mid += power.mid * frames;
}
