//! Remarks: one sentence about one finding, three at most.
//!
//! What is looked for, from which limit on, and in which words stands in one table, [`rules`].

mod balance;
mod ears;
mod findings;
mod given;
mod meant;
pub mod rules;
mod sides;
mod words;

use candlemark_analysis::Db;
use serde::{Deserialize, Serialize};

use findings::Facts;
pub use given::{Around, Given, Stage};
pub use meant::Meant;
use rules::{Found, RULES, Rule};

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
    /// Ears, or the level they are given, are not to be relied on now.
    Ears,
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
    /// Samples that are no numbers.
    #[serde(rename = "non_finite")]
    NonFinite(u64),
    /// Work since the last rest, or the song's time that was used, in seconds.
    #[serde(rename = "worked_s")]
    Worked(f64),
    /// How far the level at the chair lies above what is meant, in dB.
    #[serde(rename = "over_meant_db")]
    OverMeant(Db),
    /// How far the balance has moved, in dB.
    #[serde(rename = "moved_db")]
    Moved(Db),
    /// Loudness range, in LU.
    #[serde(rename = "range_lu")]
    Range(f64),
    /// Loudness kept elsewhere, in dB.
    #[serde(rename = "kept_db")]
    Kept(Db),
    /// How much louder the left side is than the right, in dB.
    #[serde(rename = "imbalance_db")]
    Imbalance(Db),
}

/// The remarks on one song, what was found in it before, and what the person has meant: a remark that was made stays until
/// its figure is clearly on the other side of its limit, and one that was meant is not made again until it is worse.
#[derive(Clone, Debug, Default)]
pub struct Remarks {
    /// What the rules found when they looked last.
    found: Vec<Found>,
    meant: Vec<Meant>,
}

impl Remarks {
    /// What there is to say of a song of which so much is known: [`MOST`] at most, the most urgent first.
    pub fn on(&mut self, given: &Given) -> Vec<Remark> {
        let mut facts = Facts::new(given);
        let has_before = |rule: &Rule| self.found.iter().any(|found| found.rule.id == rule.id);
        let mut all = Vec::new();
        for rule in &RULES {
            if let Some(found) = rule.finds(&facts, has_before(rule)) {
                facts.found.push(rule.id);
                all.push(found);
            }
        }
        self.found = all;
        let found = &self.found;
        self.meant.retain(|meant| !found.iter().any(|found| meant.is_outdone_by(found)));
        let is_told_by_another = |id: &str| found.iter().any(|found| found.rule.instead_of.contains(&id));
        let told = found.iter().filter(|found| {
            !is_told_by_another(found.rule.id) && !self.meant.iter().any(|meant| meant.id == found.rule.id)
        });
        told.map(|found| found.remark.clone()).take(MOST).collect()
    }

    /// The person means what the rule named `id` has found: it says no more of it until it is worse. Nothing happens
    /// when it has found nothing.
    pub fn mean(&mut self, id: &str) {
        if let Some(found) = self.found.iter().find(|found| found.rule.id == id) {
            self.meant.retain(|meant| meant.id != id);
            self.meant.push(Meant::of(found));
        }
    }

    /// The person no longer means what the rule named `id` found.
    pub fn no_longer_mean(&mut self, id: &str) {
        self.meant.retain(|meant| meant.id != id);
    }

    /// What the person has meant, in the order in which they said so.
    pub fn meant(&self) -> &[Meant] {
        &self.meant
    }

    /// Takes what was meant of this song before: when a project is opened again.
    pub fn take_meant(&mut self, meant: Vec<Meant>) {
        self.meant = meant;
    }
}

#[cfg(test)]
mod tests;
