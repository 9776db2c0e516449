//! The rules, as a table. Their order is their rank: the most urgent first.

use super::findings::{self, Facts, Finding};
use super::{Remark, Urgency, words};
use crate::words::number;
use Urgency::{Apart, Broken, Lost, Minor};

/// Where most limits come from.
const PRACTICE: &str = "common practice, no source";
/// Where the others do.
const OURS: &str = "ours";

/// What each rule looks at is in `findings`, and what its figure is; gaps in braces are filled from there. A rule keeps
/// those named under `instead_of` quiet while it speaks: they would tell what follows from it.
pub static RULES: [Rule; 10] = [
    Rule {
        id: "dead-channel",
        urgency: Broken,
        made: Limit::over(20.0, "s"),
        kept: 15.0,
        worse: 20.0,
        source: PRACTICE,
        looks_at: findings::dead_channel,
        says: "The {side} side is silent for {length} from {at} while the {other} one plays. Try its routing first.",
        instead_of: &["inverted-channel", "low-end-fold", "cancellation"],
    },
    Rule {
        id: "inverted-channel",
        urgency: Broken,
        made: Limit::under(-0.7, ""),
        kept: -0.6,
        worse: 0.1,
        source: OURS,
        looks_at: findings::inverted_channel,
        says: "The two sides are out of phase throughout: mono keeps little of the song. Turn the polarity of one first.",
        instead_of: &["low-end-fold", "cancellation"],
    },
    Rule {
        id: "low-end-fold",
        urgency: Lost,
        made: Limit::under(-1.5, "dB"),
        kept: -1.2,
        worse: 1.0,
        source: PRACTICE,
        looks_at: findings::low_end_fold,
        says: "{bands} {falls} in mono{place}. Something low is wide or out of phase between the sides: narrow it.",
        instead_of: &[],
    },
    Rule {
        id: "cancellation",
        urgency: Lost,
        made: Limit::under(-4.0, "dB"),
        kept: -3.5,
        worse: 1.0,
        source: PRACTICE,
        looks_at: findings::cancellation,
        says: "{bands} {falls} in mono in the {length} from {at}: something cancels. Try the polarity of one part there first.",
        instead_of: &[],
    },
    Rule {
        id: "unlike-records",
        urgency: Apart,
        made: Limit::over(0.75, ""),
        kept: 0.65,
        worse: 0.1,
        source: OURS,
        looks_at: findings::unlike_records,
        says: "This song is not like those records. Take a yardstick from others, or go without one.",
        instead_of: &["balance", "compression"],
    },
    Rule {
        id: "balance",
        urgency: Apart,
        made: Limit::over(0.5, "dB"),
        kept: 0.0,
        worse: 1.0,
        source: OURS,
        looks_at: findings::balance,
        says: "{bands} lies {amount} {side} where those records have it. Hear one of them first.",
        instead_of: &[],
    },
    Rule {
        id: "compression",
        urgency: Apart,
        made: Limit::over(0.5, "dB"),
        kept: 0.0,
        worse: 1.0,
        source: OURS,
        looks_at: findings::compression,
        says: "The loud parts move less than those records’: PSR {psr}, theirs {records}. Try less limiting first.",
        instead_of: &[],
    },
    Rule {
        id: "clipped-runs",
        urgency: Minor,
        made: Limit::over(10.0, "runs"),
        kept: 3.0,
        worse: 10.0,
        source: OURS,
        looks_at: findings::clipped_runs,
        says: "It clips {times}{place}. Turn the mix down before its last stage.",
        instead_of: &["true-peak-overs"],
    },
    Rule {
        id: "true-peak-overs",
        urgency: Minor,
        made: Limit::over(0.1, "dBTP"),
        kept: 0.0,
        worse: 1.0,
        source: OURS,
        looks_at: findings::true_peak_overs,
        says: "True peak goes to {peak}{place}. Turn the mix down a little before it is printed.",
        instead_of: &[],
    },
    Rule {
        id: "dc",
        urgency: Minor,
        made: Limit::over(-45.0, "dBFS"),
        kept: -50.0,
        worse: 1.0,
        source: OURS,
        looks_at: findings::dc,
        says: "There is DC, {level} {where}. Try a high-pass at 20 Hz where it comes in.",
        instead_of: &[],
    },
];

/// One rule.
#[derive(Debug)]
pub struct Rule {
    /// Its name, the same from version to version.
    pub id: &'static str,
    /// How much it matters.
    pub urgency: Urgency,
    /// A remark is made beyond this,
    pub(super) made: Limit,
    /// and stays until its figure is no longer beyond this.
    kept: f64,
    /// A remark that the person has meant is made again once its figure lies so much further beyond: a decibel, or what
    /// weighs as much (ours).
    pub(super) worse: f64,
    /// Where the limit comes from.
    pub source: &'static str,
    /// What it looks at. `None` when there is nothing to judge by.
    looks_at: fn(&Facts) -> Option<Finding>,
    /// The sentence, with gaps in braces.
    pub says: &'static str,
    /// Names of the rules that it keeps quiet.
    pub instead_of: &'static [&'static str],
}

/// The figure from which on a rule speaks.
#[derive(Clone, Copy, Debug)]
pub(super) struct Limit {
    pub(super) figure: f64,
    is_upper: bool,
    /// Its unit, as it is written.
    unit: &'static str,
}

impl Limit {
    /// Figures over this are beyond it.
    const fn over(figure: f64, unit: &'static str) -> Self {
        Self { figure, is_upper: true, unit }
    }

    /// Figures under this are beyond it.
    const fn under(figure: f64, unit: &'static str) -> Self {
        Self { figure, is_upper: false, unit }
    }

    fn is_passed_by(self, figure: f64) -> bool {
        if self.is_upper { figure > self.figure } else { figure < self.figure }
    }
}

impl Rule {
    /// From which figure on it speaks, and to which it stays, in words.
    pub fn limits(&self) -> String {
        let Limit { figure, is_upper, unit } = self.made;
        let decimals = |figure: f64| {
            (0..2)
                .find(|places| (figure * 10f64.powi(*places)).fract() == 0.0)
                .map_or(2, |places| places as usize)
        };
        let number = |figure: f64| number(figure, decimals(figure));
        let side = if is_upper { "over" } else { "under" };
        let unit = if unit.is_empty() { String::new() } else { format!(" {unit}") };
        format!("{side} {}{unit}; stays to {}{unit}", number(figure), number(self.kept))
    }

    /// What the rule finds in a song, in which it has found something before or not.
    pub(super) fn finds(&'static self, facts: &Facts, has_before: bool) -> Option<Found> {
        let finding = (self.looks_at)(facts)?;
        let limit = Limit { figure: if has_before { self.kept } else { self.made.figure }, ..self.made };
        limit.is_passed_by(finding.figure).then(|| Found {
            rule: self,
            figure: finding.figure,
            remark: Remark {
                id: self.id.to_owned(),
                text: words::filled(self.says, &finding.gaps),
                urgency: self.urgency,
                evidence: finding.evidence,
            },
        })
    }

    /// Whether a figure lies beyond another by as much as makes a remark be made again.
    pub(super) fn is_worse(&self, figure: f64, than: f64) -> bool {
        let Limit { is_upper, .. } = self.made;
        Limit { figure: if is_upper { than + self.worse } else { than - self.worse }, ..self.made }
            .is_passed_by(figure)
    }
}

/// What a rule has found in a song.
#[derive(Clone, Debug)]
pub(super) struct Found {
    pub(super) rule: &'static Rule,
    /// In the unit of the rule's limit.
    pub(super) figure: f64,
    pub(super) remark: Remark,
}
