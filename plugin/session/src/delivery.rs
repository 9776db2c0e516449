//! What a finished file must hold to be handed over: a profile of limits, and what a file makes of each.
//!
//! A profile is data: those of standards bodies are files like a person's own. For each limit there is a line: held, not
//! held, or can't tell, with the figure, the limit and how far apart they lie.

mod delivered;
mod lines;
mod words;

use serde::{Deserialize, Serialize};

pub use delivered::Delivered;
pub use lines::{Finished, Line, Unknown, Verdict};

/// A figure of a finished file that can be asked for. Its name ends in its unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Figure {
    /// Integrated loudness, in LUFS.
    IntegratedLufs,
    /// Largest short-term loudness, in LUFS.
    ShortTermMaxLufs,
    /// Largest momentary loudness, in LUFS.
    MomentaryMaxLufs,
    /// Loudness range, in LU.
    RangeLu,
    /// Largest true peak, in dBTP.
    TruePeakDbtp,
    /// Mono fold of the whole, K-weighted, in dB: 0 or less.
    FoldDb,
    /// Runs of three or more consecutive samples at full scale.
    ClippedRuns,
    /// Silence before the sound, in seconds.
    HeadS,
    /// Silence after the sound, in seconds.
    TailS,
    /// Sample rate, in hertz.
    SampleRateHz,
    /// Bits of a sample.
    BitDepth,
    /// Channels.
    Channels,
}

impl Figure {
    /// Every one of them, in the order in which they are told.
    pub const ALL: [Self; 12] = [
        Self::IntegratedLufs,
        Self::ShortTermMaxLufs,
        Self::MomentaryMaxLufs,
        Self::RangeLu,
        Self::TruePeakDbtp,
        Self::FoldDb,
        Self::ClippedRuns,
        Self::HeadS,
        Self::TailS,
        Self::SampleRateHz,
        Self::BitDepth,
        Self::Channels,
    ];

    /// What it can be at all, lowest and highest, in its unit: a limit beyond is a slip of the pen (ours).
    pub fn possible(self) -> [f64; 2] {
        match self {
            Self::IntegratedLufs | Self::ShortTermMaxLufs | Self::MomentaryMaxLufs => [-70.0, 10.0],
            Self::RangeLu => [0.0, 100.0],
            Self::TruePeakDbtp => [-100.0, 20.0],
            Self::FoldDb => [-100.0, 0.0],
            Self::ClippedRuns => [0.0, 1e9],
            Self::HeadS | Self::TailS => [0.0, 86_400.0],
            Self::SampleRateHz => [8_000.0, 384_000.0],
            Self::BitDepth => [1.0, 64.0],
            Self::Channels => [1.0, 2.0],
        }
    }

    /// A file breaks a highest limit as soon as it goes over it once, however much of it is missing.
    fn only_grows(self) -> bool {
        matches!(
            self,
            Self::ShortTermMaxLufs | Self::MomentaryMaxLufs | Self::TruePeakDbtp | Self::ClippedRuns
        )
    }

    /// It is said by the file's header, not by its sound.
    fn is_of_the_format(self) -> bool {
        matches!(self, Self::SampleRateHz | Self::BitDepth | Self::Channels)
    }
}

/// What a figure must be: not under the lowest, not over the highest, or one of a few. Each in the figure's unit.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Limit {
    /// The lowest that holds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lowest: Option<f64>,
    /// The highest that holds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub highest: Option<f64>,
    /// All that hold. Empty where a lowest or a highest says it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub one_of: Vec<f64>,
}

/// What is wrong with a limit.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum BadLimit {
    /// It asks for nothing.
    #[error("it needs a `lowest`, a `highest`, or `one_of`")]
    Empty,
    /// It asks for a reach and for one of a few.
    #[error("it has `one_of` beside a `lowest` or `highest`; keep one of the two ways")]
    TwoWays,
    /// Its lowest lies over its highest.
    #[error("its `lowest` lies over its `highest`, so that nothing can hold; exchange them")]
    Crossed,
    /// It asks for what can't be.
    #[error("{value} can't be; {lowest} to {highest} can")]
    Impossible {
        /// What it asks for.
        value: f64,
        /// The lowest that can be.
        lowest: f64,
        /// The highest that can be.
        highest: f64,
    },
}

impl Limit {
    /// Whether it can be asked of a figure.
    ///
    /// # Errors
    ///
    /// When it asks for nothing, contradicts itself, or asks for what can't be.
    pub fn check(&self, figure: Figure) -> Result<(), BadLimit> {
        let [lowest, highest] = figure.possible();
        let asked = self.lowest.iter().chain(&self.highest).chain(&self.one_of);
        if let Some(&value) = asked.clone().find(|value| !(lowest..=highest).contains(*value)) {
            return Err(BadLimit::Impossible { value, lowest, highest });
        }
        let has_reach = self.lowest.is_some() || self.highest.is_some();
        match (has_reach, self.one_of.is_empty()) {
            (false, true) => Err(BadLimit::Empty),
            (true, false) => Err(BadLimit::TwoWays),
            _ if self.lowest.zip(self.highest).is_some_and(|(low, high)| low > high) => {
                Err(BadLimit::Crossed)
            }
            _ => Ok(()),
        }
    }

    /// How far a figure lies from what holds, in its unit: over it is positive, under it negative, 0 holds. Of one of a
    /// few, from the nearest.
    fn distance(&self, figure: f64) -> f64 {
        if self.one_of.is_empty() {
            let over = self.highest.map_or(0.0, |highest| (figure - highest).max(0.0));
            let under = self.lowest.map_or(0.0, |lowest| (figure - lowest).min(0.0));
            return over + under;
        }
        let apart = self.one_of.iter().map(|one| figure - one);
        apart.min_by(|a, b| a.abs().total_cmp(&b.abs())).unwrap_or(0.0)
    }
}

/// How well the figures of a profile are known to be its source's own.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Standing {
    /// The person's own, or nothing is said of it.
    #[default]
    Own,
    /// The document's own words were read, or quotations of them.
    Quoted,
    /// Other texts say so; the document itself was not read.
    Secondary,
}

impl Standing {
    /// What is to be said of it. `None` where nothing is.
    pub fn words(self) -> Option<&'static str> {
        match self {
            Self::Own | Self::Quoted => None,
            Self::Secondary => {
                Some("as other texts give it; the document itself was not read: ask whoever takes the file")
            }
        }
    }
}

/// What a finished file must hold.
#[derive(Clone, Debug, PartialEq)]
pub struct Profile {
    /// The name by which it is asked for.
    pub name: String,
    /// Where its figures are from, for people.
    pub source: String,
    /// How well they are known to be.
    pub standing: Standing,
    /// What else there is to know. Empty where there is nothing.
    pub note: String,
    /// What it asks for, in the order of [`Figure::ALL`].
    pub limits: Vec<(Figure, Limit)>,
}

#[cfg(test)]
mod tests;
