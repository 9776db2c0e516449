//! What is printed for programs. Keys carry their unit; what is undefined (or −∞) is `null`.

use std::path::Path;

use candlemark_analysis::Db;
use candlemark_files::{FileError, Measured};
use candlemark_session::comparison::Comparison;
use candlemark_session::figures::{BandFigures, Health, SongFigures};
use candlemark_session::remarks::Remark;
use candlemark_session::side_by_side::SideBySide;
use serde::Serialize;

use crate::measure::Beside;
use crate::{delivery_json, elsewhere};

/// The version that every object carries, and a sheet.
pub(crate) const VERSION: &str = env!("CARGO_PKG_VERSION");

/// `candlemark measure --json`.
#[derive(Serialize)]
pub(crate) struct Report {
    pub(crate) files: Vec<File>,
    /// Those that were measured, beside each other where there are several.
    pub(crate) side_by_side: Option<SideBySide>,
}

/// An error, for programs.
#[derive(Serialize)]
pub(crate) struct Error {
    kind: &'static str,
    message: String,
}

impl Error {
    pub(crate) fn of(error: &FileError) -> Self {
        Self { kind: error.kind(), message: error.to_string() }
    }

    /// Several of one file: the kind is the first's, the most serious.
    fn of_all<'a>(errors: impl IntoIterator<Item = &'a FileError>) -> Option<Self> {
        let mut errors = errors.into_iter();
        let mut all = Self::of(errors.next()?);
        for error in errors {
            all.message = format!("{}\n{error}", all.message);
        }
        Some(all)
    }
}

/// One file.
#[derive(Serialize)]
pub(crate) struct File {
    path: String,
    error: Option<Error>,
    sample_rate_hz: Option<f64>,
    channels: Option<usize>,
    duration_s: Option<f64>,
    integrated_lufs: Option<f64>,
    momentary_max_lufs: Option<f64>,
    short_term_max_lufs: Option<f64>,
    range_lu: Option<f64>,
    true_peak_dbtp: Option<f64>,
    sample_peak_dbfs: Option<f64>,
    plr_db: Option<f64>,
    psr_loud_db: Option<f64>,
    crest_db: Option<f64>,
    fold_db: Option<f64>,
    fold_kept: Option<f64>,
    fold_worst: Option<FoldWorst>,
    correlation: Option<f64>,
    bands: Vec<Band>,
    health: Option<HealthCounts>,
    elsewhere: Vec<elsewhere::Told>,
    yardstick: Option<BesideRecords>,
    delivery: Option<delivery_json::Told>,
    remarks: Vec<Remark>,
}

#[derive(Serialize)]
struct FoldWorst {
    db: Option<f64>,
    at_s: f64,
}

#[derive(Serialize)]
struct Band {
    hz: f64,
    level_db: Option<f64>,
    relative_db: Option<f64>,
    fold_db: Option<f64>,
    fold_kept: Option<f64>,
    correlation: Option<f64>,
}

#[derive(Serialize)]
struct HealthCounts {
    dc_left: f64,
    dc_right: f64,
    clipped_runs: u64,
    overs: u64,
    imbalance_db: Option<f64>,
    non_finite: u64,
}

#[derive(Serialize)]
struct BesideRecords {
    name: String,
    records: usize,
    distance_db: Option<f64>,
    bands: Vec<BesideBand>,
}

#[derive(Serialize)]
struct BesideBand {
    hz: f64,
    off_db: f64,
    low_db: f64,
    high_db: f64,
    outside: bool,
}

fn db(db: Option<Db>) -> Option<f64> {
    db.map(|db| db.0)
}

impl File {
    /// A file as it was measured, beside a yardstick where there is one, and what there is to say of it.
    pub(crate) fn new(path: &Path, result: &Result<Measured, FileError>, beside: &Beside<'_>) -> Self {
        match result {
            Ok(measured) => Self {
                error: Error::of_all(&measured.troubles),
                sample_rate_hz: Some(measured.info.sample_rate.0),
                channels: Some(measured.info.channels.count()),
                yardstick: beside.comparison.as_ref().map(BesideRecords::new),
                elsewhere: beside.elsewhere.iter().map(elsewhere::Told::new).collect(),
                delivery: beside.delivered.as_ref().map(delivery_json::Told::new),
                remarks: beside.remarks.clone(),
                ..Self::of_figures(path, &measured.figures)
            },
            Err(error) => Self {
                error: Some(Error::of(error)),
                duration_s: None,
                health: None,
                ..Self::of_figures(path, &SongFigures::default())
            },
        }
    }

    fn of_figures(path: &Path, song: &SongFigures) -> Self {
        Self {
            path: path.display().to_string(),
            error: None,
            sample_rate_hz: None,
            channels: None,
            duration_s: Some(song.duration_s),
            integrated_lufs: song.integrated.map(|lufs| lufs.0),
            momentary_max_lufs: song.momentary_max.map(|lufs| lufs.0),
            short_term_max_lufs: song.short_term_max.map(|lufs| lufs.0),
            range_lu: song.range_lu,
            true_peak_dbtp: db(song.true_peak_dbtp),
            sample_peak_dbfs: db(song.sample_peak_dbfs),
            plr_db: db(song.plr),
            psr_loud_db: db(song.psr_loud),
            crest_db: db(song.crest),
            fold_db: db(song.fold.db()),
            fold_kept: song.fold.kept,
            fold_worst: song.fold_worst.map(|worst| FoldWorst { db: db(worst.fold.db()), at_s: worst.at_s }),
            correlation: song.correlation,
            bands: song.bands.iter().map(Band::new).collect(),
            health: Some(HealthCounts::new(&song.health)),
            elsewhere: Vec::new(),
            yardstick: None,
            delivery: None,
            remarks: Vec::new(),
        }
    }
}

impl Band {
    fn new(band: &BandFigures) -> Self {
        Self {
            hz: band.nominal.0,
            level_db: db(band.level),
            relative_db: band.relative.map(|spread| spread.median_db),
            fold_db: db(band.fold.db()),
            fold_kept: band.fold.kept,
            correlation: band.correlation,
        }
    }
}

impl HealthCounts {
    fn new(health: &Health) -> Self {
        Self {
            dc_left: health.dc_left,
            dc_right: health.dc_right,
            clipped_runs: health.clipped_runs,
            overs: health.overs,
            imbalance_db: db(health.imbalance),
            non_finite: health.non_finite,
        }
    }
}

impl BesideRecords {
    fn new(comparison: &Comparison) -> Self {
        Self {
            name: comparison.name.clone(),
            records: comparison.records,
            distance_db: comparison.distance_db,
            bands: comparison
                .bands
                .iter()
                .map(|band| BesideBand {
                    hz: band.nominal.0,
                    off_db: band.off_db,
                    low_db: band.low_db,
                    high_db: band.high_db,
                    outside: band.outside,
                })
                .collect(),
        }
    }
}

/// An object as it is printed.
pub(crate) fn text(object: &impl Serialize) -> String {
    #[derive(Serialize)]
    struct Printed<T> {
        candlemark: &'static str,
        #[serde(flatten)]
        object: T,
    }
    serde_json::to_string_pretty(&Printed { candlemark: VERSION, object })
        .unwrap_or_else(|error| format!("{{\"error\": \"{error}\"}}"))
}
