//! The Desk: takes in readings and cells as they come, and says what the song measures.
//!
//! The song is the latest pass of every cell, each counted once. A file is one pass of one-second cells; it is
//! measured by the same Desk.

use candlemark_analysis::bands::{NOMINAL_HZ, fitting_bands};
use candlemark_analysis::{Cell, Channels, Db, Hertz, Lufs, PassFigures, Power, Reading, Sink};

use crate::drift::{Drift, Drifts};
use crate::falls_away;
use crate::figures::{BandFigures, Fold, Health, SilentSide, SongFigures, Spread, WorstFold, over};
use crate::health_tally::HealthTally;
use crate::one_sided::one_sided;
use crate::song_cells::{CellKey, SongCells, key_of};
use crate::song_chunks::{Gated, SongChunks};
use crate::statistics::median;
use crate::stretches::{Sound, Stretches, Window, start_s};
use crate::strip::{self, StripPoint};

/// The window over which a relative level is taken: what is shorter has no balance.
pub(crate) const WINDOW_S: f64 = 3.0;
/// The stretch over which the worst fold is sought.
const WORST_FOLD_S: f64 = 10.0;
/// The loud parts of a song: so many of its loudest seconds.
const LOUD_S: f64 = 30.0;

/// What a Desk measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    /// A file: one pass, whose loudness, range and gates are the standard's own, over the whole of it.
    File,
    /// A song that is worked on: the latest pass of every cell, gated by the cells themselves.
    Song,
}

/// One bus's or one file's song. An Analyzer can give what it finds to it directly.
pub struct Desk {
    kind: Kind,
    rate: Hertz,
    channels: Channels,
    cells: SongCells,
    drift: Drift,
    chunks: SongChunks,
    last: Option<Reading>,
    last_cell: Option<CellKey>,
    /// The position of the cell that came last is a time.
    by_time: bool,
    heard_frames: u64,
    /// Of all that was heard: a file's.
    tally: HealthTally,
}

impl Sink for Desk {
    fn reading(&mut self, reading: &Reading) {
        self.take_reading(reading);
    }

    fn cell(&mut self, cell: &Cell) {
        self.take_cell(cell);
    }
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
            cells: SongCells::default(),
            drift: Drift::default(),
            chunks: SongChunks::default(),
            last: None,
            last_cell: None,
            by_time: false,
            heard_frames: 0,
            tally: HealthTally::default(),
        }
    }

    /// Takes in a reading. Readings come in order.
    pub fn take_reading(&mut self, reading: &Reading) {
        match self.kind {
            Kind::File => self.tally.take(reading, self.heard_frames as f64 / self.rate.0),
            Kind::Song => {
                let at_s = reading.place.song_s - f64::from(reading.frames) / self.rate.0;
                self.chunks.take(reading, at_s);
            }
        }
        self.heard_frames += u64::from(reading.frames);
        self.last = Some(*reading);
    }

    /// Shows a reading as what sounds now, and takes nothing of it: another sound than the song plays through.
    pub fn show_reading(&mut self, reading: &Reading) {
        self.last = Some(*reading);
    }

    /// Takes in a cell; it replaces what an earlier pass gave, unless it is aside: another sound than the song
    /// there.
    pub fn take_cell(&mut self, cell: &Cell) {
        let key = key_of(cell);
        self.last_cell = Some(key);
        self.by_time = strip::is_by_time(cell, self.rate);
        let is_song = self.cells.take(cell);
        // What the person says is aside tells nothing of the song, not even that it has changed.
        if is_song || !self.cells.is_told_aside() {
            self.follow_drift(cell, is_song);
        }
        let song_pass = self.cells.get(key).map(|heard| heard.cell.place.pass);
        self.chunks.settle(key, cell.place.pass, song_pass);
        if let Some(first) = self.cells.let_go() {
            self.chunks.let_go_before(first);
        }
    }

    /// Says that what sounds from now on is aside (a solo, a record playing through, a click), or no longer.
    pub fn tell_aside(&mut self, is_aside: bool) {
        self.cells.tell_aside(is_aside);
    }

    /// Makes what lies aside the song: a real change.
    pub fn keep_aside(&mut self) {
        for cell in self.cells.keep_aside() {
            self.chunks.settle(key_of(&cell), cell.place.pass, Some(cell.place.pass));
            self.follow_drift(&cell, true);
        }
    }

    /// Where the host gives no position no cell ever comes again, and nothing is to be kept of it.
    fn follow_drift(&mut self, cell: &Cell, is_song: bool) {
        if !self.by_time {
            self.drift.take(cell, is_song);
        }
    }

    /// How far the balance has moved. Work grows with the song's length; ask once a second, not once a frame.
    pub fn drifts(&self) -> Drifts {
        Drifts {
            since_rest: self.drift.since_rest(self.rate),
            since_start: self.drift.since_start(self.rate),
        }
    }

    /// The person's ears are fresh: they have rested.
    pub fn rest(&mut self) {
        self.drift.rest();
    }

    /// Whether the cell that was heard last is aside.
    pub fn is_aside(&self) -> bool {
        self.last_cell.is_some_and(|key| self.cells.is_aside(key))
    }

    /// The latest reading.
    pub fn last_reading(&self) -> Option<&Reading> {
        self.last.as_ref()
    }

    /// What the song measures so far. Work grows with the song's length; ask once a second, not once a frame.
    pub fn figures(&self) -> SongFigures {
        let Some(last) = &self.last else { return SongFigures::default() };
        let song = match self.kind {
            Kind::File => Gated { gate_power: last.pass.gate_power, ..Gated::default() },
            Kind::Song => self.chunks.gated(&self.cells, self.rate),
        };
        let gate = song.gate_power;
        let gated = self.gated(gate);
        let tally = match self.kind {
            Kind::File => self.tally,
            Kind::Song => self.chunks.tally(&self.cells),
        };
        let stretches = self.cells.stretches(WINDOW_S, self.rate);
        let long = self.cells.stretches(WORST_FOLD_S, self.rate);
        let figures = SongFigures {
            gated_s: gated.frames / self.rate.0,
            psr_loud: self.psr_loud(&stretches, gate),
            crest: crest(tally.sample_peak(), gated.plain),
            fold: Fold { kept: gated.weighted.fold_kept() },
            fold_worst: self.worst_fold(&long, gate),
            correlation: gated.plain.correlation(self.channels),
            low_end: falls_away::low_end(&gated, &long, gate, self.rate),
            cancels: falls_away::cancels(&long, gate, self.rate),
            bands: self.bands(&gated, &stretches, gate),
            health: self.health_of(tally.health(), &gated, &stretches.cells),
            ..SongFigures::default()
        };
        match self.kind {
            Kind::File => self.with_loudness_of_file(&last.pass, figures),
            Kind::Song => self.with_loudness_of_song(&song, figures),
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
            sample_peak_dbfs: self.tally.sample_peak(),
            plr: over(true_peak, integrated),
            ..figures
        }
    }

    /// A song's loudness and peak are those of its cells as they stand; maxima belong to a pass.
    fn with_loudness_of_song(&self, song: &Gated, figures: SongFigures) -> SongFigures {
        let cells = || self.cells.cells().map(|heard| &heard.cell);
        let frames: f64 = cells().map(|cell| f64::from(cell.frames)).sum();
        let peak = cells().fold(0f32, |peak, cell| peak.max(cell.true_peak));
        let true_peak = Db::of_amplitude(peak.into());
        let integrated = Lufs::of_power(song.integrated_power);
        SongFigures {
            duration_s: frames / self.rate.0,
            integrated,
            range_lu: song.range_lu,
            true_peak_dbtp: true_peak,
            plr: over(true_peak, integrated),
            ..figures
        }
    }

    /// The song strip, by song position; where the host gives none, the last ten minutes by time. Work grows with the
    /// song's length.
    pub fn strip(&self) -> Vec<StripPoint> {
        let mut points = strip::points(&self.cells, self.channels, self.rate);
        if let Some(now_s) = self.now_s() {
            points.retain(|point| point.song_s > now_s - strip::LATEST_S && point.song_s <= now_s);
        }
        points
    }

    /// Whether positions in the song are times, because the host gives none.
    pub fn is_by_time(&self) -> bool {
        self.kind == Kind::Song && self.by_time
    }

    /// The latest position, where positions are times.
    fn now_s(&self) -> Option<f64> {
        let key = self.last_cell.filter(|_| self.is_by_time())?;
        let song = self.cells.get(key).map(|heard| heard.cell.place.song_s);
        let aside = self.cells.asides().find(|cell| key_of(cell) == key).map(|cell| cell.place.song_s);
        Some(song.into_iter().chain(aside).fold(f64::NEG_INFINITY, f64::max))
    }

    /// Where playback is in the song, in seconds. `None` when no pass runs.
    pub fn playhead_s(&self) -> Option<f64> {
        self.last.filter(|last| last.place.pass > 0).map(|last| last.place.song_s)
    }

    /// Mean powers of the cells whose own loudness lies above `gate`.
    fn gated(&self, gate: f64) -> Sound {
        let cells = self.cells.cells().map(|heard| &heard.cell);
        Sound::of(cells.filter(|cell| cell.loudness_power() > gate)).mean()
    }

    /// The stretches whose own loudness lies above `gate`.
    fn loud_windows<'a>(&self, stretches: &'a Stretches<'a>, gate: f64) -> impl Iterator<Item = Window<'a>> {
        let channels = self.channels;
        stretches.windows().filter(move |window| window.sound.weighted.total(channels) > gate)
    }

    /// The 10 s that lose most in mono, where at least nine tenths of them are gated sound; that alone counts.
    fn worst_fold(&self, stretches: &Stretches<'_>, gate: f64) -> Option<WorstFold> {
        stretches
            .rows()
            .filter_map(|row| {
                let kept = falls_away::gated(row, gate)?.weighted.fold_kept()?;
                Some((kept, start_s(row.first()?, self.rate)))
            })
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
                let peak = Db::of_amplitude(cell.true_peak_3s.into());
                over(peak, Lufs::of_power(cell.short_term_power)).map(|ratio| ratio.0)
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

    fn health_of(&self, told: Health, gated: &Sound, cells: &[&Cell]) -> Health {
        if self.channels == Channels::Mono {
            return told;
        }
        let Power { left, right, .. } = gated.weighted;
        Health {
            silent_side: SilentSide::of(gated.plain),
            one_sided: one_sided(cells, self.rate),
            imbalance: (left > 0.0 && right > 0.0).then(|| Db::of_power(left / right)).flatten(),
            ..told
        }
    }
}

/// The largest sample over the root mean square of sound, both unweighted; its power is the mean over the channels.
fn crest(sample_peak: Option<Db>, plain: Power) -> Option<Db> {
    let rms = Db::of_power(f64::midpoint(plain.left, plain.right))?;
    sample_peak.map(|peak| Db(peak.0 - rms.0))
}
