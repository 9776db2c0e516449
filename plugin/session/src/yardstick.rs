//! The yardstick: a stored reference curve with its spreads and figures, taken from records.

use serde::{Deserialize, Serialize};

use crate::desk::WINDOW_S;
use crate::figures::SongFigures;

/// A stored reference curve: what was measured of each record it was taken from.
///
/// The curve's lowest, middle and highest are computed from the records, never stored, so they cannot
/// disagree with them.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Yardstick {
    /// What the person calls it.
    pub name: String,
    /// The records, in the order in which they were taken. Never empty.
    #[serde(rename = "record")]
    pub records: Vec<Record>,
}

/// One record's figures. An undefined figure is absent, never a sentinel.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Record {
    /// The file's name without its folder, or what the person called it.
    pub title: String,
    /// Length in seconds of what was heard of it.
    pub duration_s: f64,
    /// Under 60 s of gated sound was heard of it: it stands for a section, not for a whole record.
    pub section: bool,
    /// Integrated loudness in LUFS.
    pub integrated_lufs: f64,
    /// Loudness range in LU.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub range_lu: Option<f64>,
    /// Largest true peak in dBTP.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub true_peak_dbtp: Option<f64>,
    /// Peak to loudness ratio in dB.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub plr_db: Option<f64>,
    /// Median peak to short-term ratio of the loudest 30 s, in dB.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub psr_loud_db: Option<f64>,
    /// Crest factor in dB; absent in what was written before there was one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub crest_db: Option<f64>,
    /// Mono fold in dB; absent when nothing is left in mono.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fold_db: Option<f64>,
    /// Correlation, −1 to 1; absent when undefined.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub correlation: Option<f64>,
    /// The third octaves, from low to high.
    #[serde(rename = "band")]
    pub bands: Vec<RecordBand>,
}

/// One third octave of one record.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RecordBand {
    /// Nominal mid-band frequency in hertz (ISO 266).
    pub hz: f64,
    /// Relative level in dB: the median over gated 3 s windows, 1 s apart, of the band's level less the
    /// window's own loudness.
    pub relative_db: f64,
    /// 10th percentile of the same windows.
    pub low_db: f64,
    /// 90th percentile of the same windows.
    pub high_db: f64,
    /// Mono fold of the band in dB; absent when nothing is left in mono.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fold_db: Option<f64>,
}

/// A record with less gated sound than this stands for a section, in seconds.
const WHOLE_S: f64 = 60.0;

/// Why a song cannot serve as a record.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NotARecord {
    /// Nothing of it passed the gates of the integrated loudness.
    #[error("it is silent")]
    Silent,
    /// It has no gated window of 3 s, over which a balance is taken.
    #[error("it has less than three seconds of sound; a balance takes three")]
    TooShort,
}

impl Record {
    /// A record of what was measured of a song.
    ///
    /// # Errors
    ///
    /// A silent song, and one shorter than the window over which a balance is taken.
    pub fn of(title: impl Into<String>, song: &SongFigures) -> Result<Self, NotARecord> {
        let sounds = song.sample_peak_dbfs.is_some();
        let too_short = sounds && song.duration_s < WINDOW_S;
        let nothing = if too_short { NotARecord::TooShort } else { NotARecord::Silent };
        let integrated = song.integrated.ok_or(nothing)?;
        let bands: Vec<RecordBand> = song
            .bands
            .iter()
            .filter_map(|band| {
                let relative = band.relative?;
                Some(RecordBand {
                    hz: band.nominal.0,
                    relative_db: relative.median_db,
                    low_db: relative.low_db,
                    high_db: relative.high_db,
                    fold_db: band.fold.db().map(|db| db.0),
                })
            })
            .collect();
        if bands.is_empty() {
            return Err(NotARecord::TooShort);
        }
        Ok(Self {
            title: title.into(),
            duration_s: song.duration_s,
            section: song.gated_s < WHOLE_S,
            integrated_lufs: integrated.0,
            range_lu: song.range_lu,
            true_peak_dbtp: song.true_peak_dbtp.map(|db| db.0),
            plr_db: song.plr.map(|db| db.0),
            psr_loud_db: song.psr_loud.map(|db| db.0),
            crest_db: song.crest.map(|db| db.0),
            fold_db: song.fold.db().map(|db| db.0),
            correlation: song.correlation,
            bands,
        })
    }
}
