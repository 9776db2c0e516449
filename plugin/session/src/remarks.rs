//! Remarks: one sentence about one finding, three at most.
//!
//! What is looked for, from which limit on, and in which words stands in one table, [`rules`].

mod balance;
mod findings;
pub mod rules;
mod words;

use candlemark_analysis::Db;
use serde::{Deserialize, Serialize};

use crate::figures::SongFigures;
use crate::yardstick::Yardstick;
use findings::Facts;
use rules::{RULES, Rule};

/// So many remarks are made at once: more are not read.
pub const MOST: usize = 3;

/// One sentence about one finding.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Remark {
    /// The rule's name, the same from version to version.
    pub id: String,
    /// What to say.
    pub text: String,
    /// How much it matters.
    pub urgency: Urgency,
    /// What it stands on.
    pub evidence: Evidence,
}

/// How much a remark matters, the most urgent first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Urgency {
    /// Something does not work: no figure of the song means much before it does.
    Broken,
    /// Part of the song is not heard on other speakers.
    Lost,
    /// The song is not where the records are.
    Apart,
    /// To see to before the song leaves the room.
    Minor,
}

/// What a remark stands on.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Evidence {
    /// The figure.
    pub figure: Figure,
    /// The nominal frequency of the lowest and of the highest band. `None` when it is about the whole.
    pub bands_hz: Option<[f64; 2]>,
    /// Where in the song, in seconds from its start. `None` when it is about the whole, or begins nowhere in particular.
    pub at_s: Option<f64>,
}

/// A figure and its unit.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub enum Figure {
    /// Length of a stretch, in seconds.
    #[serde(rename = "length_s")]
    Length(f64),
    /// Correlation, from −1 to 1.
    #[serde(rename = "correlation")]
    Correlation(f64),
    /// Mono fold in dB. `None` when nothing is kept.
    #[serde(rename = "fold_db")]
    Fold(Option<Db>),
    /// Share of the bands that lie outside the records, 0 to 1.
    #[serde(rename = "outside_share")]
    OutsideShare(f64),
    /// How far bands lie above the middle record, in dB.
    #[serde(rename = "off_db")]
    Off(Db),
    /// Peak to short-term ratio of the loud parts, in dB.
    #[serde(rename = "psr_loud_db")]
    PsrLoud(Db),
    /// Clipped runs.
    #[serde(rename = "clipped_runs")]
    ClippedRuns(u64),
    /// True peak in dBTP.
    #[serde(rename = "true_peak_dbtp")]
    TruePeak(Db),
    /// Mean of the samples, in dBFS.
    #[serde(rename = "dc_dbfs")]
    Dc(Db),
}

/// The remarks on one song, and what was said of it before: a remark that was made stays until its figure is clearly on
/// the other side of its limit.
#[derive(Clone, Debug, Default)]
pub struct Remarks {
    /// Names of the rules that found something when they looked last.
    standing: Vec<&'static str>,
}

impl Remarks {
    /// What there is to say of a song that measures so, beside a yardstick where one is in use: [`MOST`] at most, the most
    /// urgent first.
    pub fn on(&mut self, song: &SongFigures, yardstick: Option<&Yardstick>) -> Vec<Remark> {
        let facts = Facts::new(song, yardstick);
        let found: Vec<(&Rule, Remark)> = RULES
            .iter()
            .filter_map(|rule| Some((rule, rule.remark(&facts, self.standing.contains(&rule.id))?)))
            .collect();
        self.standing = found.iter().map(|(rule, _)| rule.id).collect();
        let is_told_by_another = |id: &str| found.iter().any(|(rule, _)| rule.instead_of.contains(&id));
        let told = found.iter().filter(|(rule, _)| !is_told_by_another(rule.id));
        told.map(|(_, remark)| remark.clone()).take(MOST).collect()
    }
}

#[cfg(test)]
mod tests;
