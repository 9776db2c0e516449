//! What a song (or a file) measures, in the units in which people read it.

use candlemark_analysis::{Db, Hertz, Lufs, Power};
use serde::{Deserialize, Serialize};

use crate::falls_away::falls_below_db;
use crate::statistics::{median, percentile};

/// The figures of a song as far as it has been heard, or of a file. What is undefined is `None`.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct SongFigures {
    /// Sound that was measured, in seconds.
    pub duration_s: f64,
    /// Gated sound (above the integrated loudness's own gates), in seconds.
    pub gated_s: f64,
    /// Integrated loudness. `None` when nothing passed its gates.
    #[serde(rename = "integrated_lufs")]
    pub integrated: Option<Lufs>,
    /// Largest momentary loudness. `None` under 400 ms, and in silence.
    #[serde(rename = "momentary_max_lufs")]
    pub momentary_max: Option<Lufs>,
    /// Largest short-term loudness. `None` under 3 s, and in silence.
    #[serde(rename = "short_term_max_lufs")]
    pub short_term_max: Option<Lufs>,
    /// Loudness range in LU. `None` under 3 s, and when nothing passed its gates.
    pub range_lu: Option<f64>,
    /// Largest true peak, in dBTP. `None` in silence.
    pub true_peak_dbtp: Option<Db>,
    /// Largest sample, in dBFS. `None` in silence.
    pub sample_peak_dbfs: Option<Db>,
    /// Peak to loudness ratio: largest true peak less integrated loudness.
    #[serde(rename = "plr_db")]
    pub plr: Option<Db>,
    /// Peak to short-term ratio in the loud parts: the median over the loudest 30 s.
    #[serde(rename = "psr_loud_db")]
    pub psr_loud: Option<Db>,
    /// Crest factor: the largest sample less the root mean square of the gated sound, in dB, both unweighted. `None` in
    /// silence.
    #[serde(default, rename = "crest_db")]
    pub crest: Option<Db>,
    /// Mono fold of the gated sound, K-weighted.
    pub fold: Fold,
    /// The 10 s that lose most in mono. `None` when there are no gated 10 s.
    pub fold_worst: Option<WorstFold>,
    /// Correlation of the gated sound, unweighted.
    pub correlation: Option<f64>,
    /// The low end in mono. `None` where there is none.
    pub low_end: Option<LowEnd>,
    /// For each octave above the low end, the 10 s that lose most in mono. Empty when there are no gated 10 s.
    pub cancels: Vec<FallsAway>,
    /// The third octaves that the sample rate carries, from low to high.
    pub bands: Vec<BandFigures>,
    /// What should not be.
    pub health: Health,
}

/// How far a true peak lies over a loudness: a peak to loudness ratio.
pub(crate) fn over(true_peak: Option<Db>, loudness: Option<Lufs>) -> Option<Db> {
    Some(Db(true_peak?.0 - loudness?.0))
}

/// How much mono keeps.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Fold {
    /// The share of the power that mono keeps, 0 to 1. `None` in silence.
    pub kept: Option<f64>,
}

impl Fold {
    /// The fold in dB: 0 identical channels, −3.01 unrelated ones. `None` in silence, and where nothing is
    /// kept (it would be −∞).
    pub fn db(self) -> Option<Db> {
        self.kept.and_then(Db::of_power)
    }
}

/// The stretch of 10 s that loses most in mono.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct WorstFold {
    /// Its fold, K-weighted.
    pub fold: Fold,
    /// Where it begins, in seconds from the song's start.
    pub at_s: f64,
}

/// The bands under 125 Hz in mono.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct LowEnd {
    /// Their mono fold together, gated, unweighted.
    pub fold: Fold,
    /// The mono fold of the bands above them together.
    pub above_fold: Fold,
    /// Their share of the power of all bands, 0 to 1.
    pub power_share: f64,
    /// The bands that fall away, and from where in the song.
    pub falls: FallsAway,
}

/// Bands that fall away in mono over a stretch of the song.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct FallsAway {
    /// Nominal frequency of the lowest and the highest band.
    pub bands_hz: [f64; 2],
    /// Their mono fold together over the stretch, gated, unweighted.
    pub fold: Fold,
    /// Where the stretch begins, in seconds from the song's start. `None` when it has no beginning of its own.
    pub at_s: Option<f64>,
    /// Where it ends. `None` when it goes on to the end of what was heard.
    pub until_s: Option<f64>,
}

/// One third octave.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct BandFigures {
    /// Nominal mid-band frequency (ISO 266).
    #[serde(rename = "hz")]
    pub nominal: Hertz,
    /// Gated mean power over channels as a level: a full-scale sine in every channel is 0.
    #[serde(rename = "level_db")]
    pub level: Option<Db>,
    /// Relative level: the median over gated 3 s windows, 1 s apart, of the band's level less the window's
    /// own loudness.
    pub relative: Option<Spread>,
    /// Mono fold of the gated sound, unweighted.
    pub fold: Fold,
    /// Correlation of the gated sound.
    pub correlation: Option<f64>,
}

impl BandFigures {
    /// The fold below which the band falls away in mono, in dB.
    pub fn falls_below_db(&self) -> f64 {
        falls_below_db(self.nominal.0)
    }
}

/// A relative level and how far it moves, in dB.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Spread {
    /// 10th percentile.
    pub low_db: f64,
    /// Median.
    pub median_db: f64,
    /// 90th percentile.
    pub high_db: f64,
}

impl Spread {
    /// The spread of values in any order. `None` of nothing. Sorts the values.
    pub fn of(values_db: &mut [f64]) -> Option<Self> {
        let median_db = median(values_db)?;
        Some(Self { low_db: percentile(values_db, 10.0)?, median_db, high_db: percentile(values_db, 90.0)? })
    }
}

/// The side of a stereo sound that is silent.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SilentSide {
    /// The left one.
    Left,
    /// The right one.
    Right,
}

impl SilentSide {
    /// The side without power, where the other has some.
    pub fn of(power: Power) -> Option<Self> {
        match (power.left > 0.0, power.right > 0.0) {
            (false, true) => Some(Self::Left),
            (true, false) => Some(Self::Right),
            _ => None,
        }
    }

    /// What it is called, and what the other side is.
    pub(crate) fn names(self) -> [&'static str; 2] {
        match self {
            Self::Left => ["left", "right"],
            Self::Right => ["right", "left"],
        }
    }
}

/// A stretch in which one side is digital silence while the other plays.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct OneSided {
    /// The silent side.
    pub silent: SilentSide,
    /// Its length, in seconds.
    pub length_s: f64,
    /// Where it begins, in seconds from the song's start.
    pub at_s: f64,
}

/// What should not be in a song: counts, and where the first lies, in seconds, to within 100 ms.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Health {
    /// Mean of the left channel, full scale 1.
    pub dc_left: f64,
    /// Mean of the right channel, full scale 1; of a mono file the left's.
    pub dc_right: f64,
    /// Runs of three or more consecutive samples at full scale.
    pub clipped_runs: u64,
    /// Where the first of those lies.
    pub clipped_at_s: Option<f64>,
    /// Chunks of 100 ms with a true peak above 0 dBTP.
    pub overs: u64,
    /// Where the first of those lies.
    pub over_at_s: Option<f64>,
    /// K-weighted power of the left channel over the right's, in dB, gated: above 0 the left is louder. `None` for
    /// one channel, in silence, and when one side is silent.
    #[serde(rename = "imbalance_db")]
    pub imbalance: Option<Db>,
    /// The side in which there is nothing while the other sounds.
    pub silent_side: Option<SilentSide>,
    /// The longest stretch in which one side is digital silence while the other plays.
    pub one_sided: Option<OneSided>,
    /// Samples that were NaN, infinite or beyond ±10⁶; they were measured as zero.
    pub non_finite: u64,
    /// Where the first of those lies.
    pub non_finite_at_s: Option<f64>,
}
