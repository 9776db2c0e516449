//! The Desk: takes in readings and cells as they come, and says what the song measures.
//!
//! The song is the latest pass of every cell, each counted once. A file is one pass of one-second cells; it is
//! measured by the same Desk.

use std::collections::BTreeMap;
use std::ops::RangeInclusive;

use candlemark_analysis::bands::{NOMINAL_HZ, fitting_bands};
use candlemark_analysis::{Cell, Channels, Db, Hertz, Lufs, PassFigures, Power, Reading};

use crate::figures::{BandFigures, Fold, Health, SongFigures, Spread, WorstFold};
use crate::statistics::median;

/// The window over which a relative level is taken.
const WINDOW_S: f64 = 3.0;
/// The stretch over which the worst fold is sought.
const WORST_FOLD_S: f64 = 10.0;
/// The loud parts of a song: so many of its loudest seconds.
const LOUD_S: f64 = 30.0;
/// The absolute gate, ITU-R BS.1770-5 (11/2023) Annex 1, eq. (5), and the distance of the relative one, eq. (6).
const ABSOLUTE_GATE: Lufs = Lufs(-70.0);
const RELATIVE_GATE_LU: f64 = 10.0;

/// What a Desk measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    /// A file: one pass, whose loudness, range and gates are the standard's own, over the whole of it.
    File,
    /// A song that is worked on: the latest pass of every cell, gated by the cells themselves.
    Song,
}

/// Where a cell lies in the song: whether it is counted in pairs of quarter notes, and its number.
type CellKey = (bool, i64);

/// One bus's or one file's song.
pub struct Desk {
    kind: Kind,
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
    /// An empty desk for a file of this rate and channel count.
    pub fn of_file(rate: Hertz, channels: Channels) -> Self {
        Self::new(Kind::File, rate, channels)
    }

    /// An empty desk for a song that is worked on, at this rate and channel count.
    pub fn of_song(rate: Hertz, channels: Channels) -> Self {
        Self::new(Kind::Song, rate, channels)
    }

    fn new(kind: Kind, rate: Hertz, channels: Channels) -> Self {
        Self {
            kind,
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
        // The last reading of a file may hold nothing but what the interpolator still held of the one before.
        let goes_on = reading.frames == 0 && self.last.is_some_and(|last| last.true_peak > 1.0);
        self.health.overs += u64::from(reading.true_peak > 1.0 && !goes_on);
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
        let gate = match self.kind {
            Kind::File => last.pass.gate_power,
            Kind::Song => self.gate_of_cells(),
        };
        let gated = self.gated(gate);
        let stretches = self.stretches(WINDOW_S);
        let figures = SongFigures {
            gated_s: gated.frames / self.rate.0,
            psr_loud: self.psr_loud(&stretches, gate),
            fold: Fold { kept: gated.weighted.fold_kept() },
            fold_worst: self.worst_fold(gate),
            correlation: gated.plain.correlation(self.channels),
            bands: self.bands(&gated, &stretches, gate),
            health: self.health_of(&gated),
            ..SongFigures::default()
        };
        match self.kind {
            Kind::File => self.with_loudness_of_file(&last.pass, figures),
            Kind::Song => self.with_peak_of_cells(figures),
        }
    }

    /// A file's loudness, range and maxima are its one pass's.
    fn with_loudness_of_file(&self, pass: &PassFigures, figures: SongFigures) -> SongFigures {
        let integrated = Lufs::of_power(pass.integrated_power);
        let true_peak = Db::of_amplitude(pass.true_peak.into());
        SongFigures {
            duration_s: self.heard_frames as f64 / self.rate.0,
            integrated,
            momentary_max: Lufs::of_power(pass.momentary_max_power),
            short_term_max: Lufs::of_power(pass.short_term_max_power),
            range_lu: pass.range_lu,
            true_peak_dbtp: true_peak,
            sample_peak_dbfs: Db::of_amplitude(self.sample_peak.into()),
            plr: true_peak.zip(integrated).map(|(peak, loudness)| Db(peak.0 - loudness.0)),
            ..figures
        }
    }

    /// Of a song that is worked on, cells tell the length and the true peak; its integrated loudness and range
    /// would need more than they hold.
    fn with_peak_of_cells(&self, figures: SongFigures) -> SongFigures {
        let frames: f64 = self.cells.values().map(|cell| f64::from(cell.frames)).sum();
        let peak = self.cells.values().fold(0f32, |peak, cell| peak.max(cell.true_peak));
        SongFigures {
            duration_s: frames / self.rate.0,
            true_peak_dbtp: Db::of_amplitude(peak.into()),
            ..figures
        }
    }

    /// The gate of a song that is worked on: as the integrated loudness's, over cells.
    fn gate_of_cells(&self) -> f64 {
        let absolute = ABSOLUTE_GATE.power();
        let above = self.cells.values().filter(|cell| cell.loudness_power() > absolute);
        let (energy, frames) = above.fold((0.0, 0.0), |(energy, frames), cell| {
            let more = f64::from(cell.frames);
            (energy + cell.loudness_power() * more, frames + more)
        });
        let relative =
            if frames > 0.0 { energy / frames * 10f64.powf(-RELATIVE_GATE_LU / 10.0) } else { 0.0 };
        relative.max(absolute)
    }

    /// Mean powers of the cells whose own loudness lies above `gate`.
    fn gated(&self, gate: f64) -> Sound {
        let mut sound = Sound::default();
        for cell in self.cells.values().filter(|cell| cell.loudness_power() > gate) {
            sound.add(cell);
        }
        sound.mean()
    }

    /// The stretches of at least `seconds` that end with each filled cell, each of cells that follow one
    /// another.
    fn stretches(&self, seconds: f64) -> Stretches<'_> {
        let wanted = seconds * self.rate.0 - 0.5;
        let (keys, cells): (Vec<&CellKey>, Vec<&Cell>) =
            self.cells.iter().filter(|(_, cell)| cell.is_filled()).unzip();
        let mut spans = Vec::new();
        let (mut first, mut frames) = (0, 0.0);
        for end in 0..cells.len() {
            if end > 0 && !follows(keys[end - 1], keys[end]) {
                (first, frames) = (end, 0.0);
            }
            frames += f64::from(cells[end].frames);
            while frames - f64::from(cells[first].frames) >= wanted {
                frames -= f64::from(cells[first].frames);
                first += 1;
            }
            if frames >= wanted {
                spans.push(first..=end);
            }
        }
        Stretches { rate: self.rate, cells, spans }
    }

    /// The stretches whose own loudness lies above `gate`.
    fn loud_windows<'a>(&self, stretches: &'a Stretches<'a>, gate: f64) -> impl Iterator<Item = Window<'a>> {
        let channels = self.channels;
        stretches.windows().filter(move |window| window.sound.weighted.total(channels) > gate)
    }

    fn worst_fold(&self, gate: f64) -> Option<WorstFold> {
        self.loud_windows(&self.stretches(WORST_FOLD_S), gate)
            .filter_map(|window| Some((window.sound.weighted.fold_kept()?, window.start_s)))
            .min_by(|a, b| a.0.total_cmp(&b.0))
            .map(|(kept, start_s)| WorstFold { fold: Fold { kept: Some(kept) }, at_s: start_s.max(0.0) })
    }

    /// The median of true peak of 3 s less short-term loudness, over the cells' ends of the loudest gated 30 s. After
    /// a jump, the 3 s to a cell's end are not the song's.
    fn psr_loud(&self, stretches: &Stretches<'_>, gate: f64) -> Option<Db> {
        let windows = self.loud_windows(stretches, gate);
        let mut cells: Vec<&Cell> = windows.filter(|w| w.one_pass).map(|w| w.last).collect();
        cells.sort_by(|a, b| b.short_term_power.total_cmp(&a.short_term_power));
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
                Some(peak.0 - Lufs::of_power(cell.short_term_power)?.0)
            })
            .collect();
        median(&mut ratios).map(Db)
    }

    fn bands(&self, gated: &Sound, stretches: &Stretches<'_>, gate: f64) -> Vec<BandFigures> {
        let mut relatives = vec![Vec::new(); fitting_bands(self.rate)];
        for window in self.loud_windows(stretches, gate) {
            // A band's level is a mean over channels, in which a mono file counts as both speakers playing the
            // same; so must the loudness that it is put beside.
            let Some(loudness) = window.sound.weighted.loudness(Channels::Stereo) else { continue };
            for (relatives, band) in relatives.iter_mut().zip(window.sound.bands) {
                relatives.extend(band.level_db().map(|level| level.0 - loudness.0));
            }
        }
        let figures = relatives.iter_mut().zip(gated.bands).enumerate();
        figures
            .map(|(band, (relatives, power))| BandFigures {
                nominal: Hertz(NOMINAL_HZ[band]),
                level: power.level_db(),
                relative: Spread::of(relatives),
                fold: Fold { kept: power.fold_kept() },
                correlation: power.correlation(self.channels),
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

/// Stretches of cells that follow one another.
struct Stretches<'a> {
    rate: Hertz,
    cells: Vec<&'a Cell>,
    spans: Vec<RangeInclusive<usize>>,
}

impl Stretches<'_> {
    /// Each stretch, added up as it is asked for: to hold them all would take more than the song's cells do.
    fn windows(&self) -> impl Iterator<Item = Window<'_>> {
        self.spans.iter().map(|span| {
            let mut sound = Sound::default();
            self.cells[span.clone()].iter().for_each(|cell| sound.add(cell));
            let (first, last) = (self.cells[*span.start()], self.cells[*span.end()]);
            Window {
                sound: sound.mean(),
                start_s: first.place.song_s - f64::from(first.frames) / self.rate.0,
                one_pass: first.place.pass == last.place.pass,
                last,
            }
        })
    }
}

/// One stretch.
struct Window<'a> {
    sound: Sound,
    start_s: f64,
    /// All of its cells were filled by one pass.
    one_pass: bool,
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
