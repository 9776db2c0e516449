//! The rules, as a table. Their order is their rank: the most urgent first.

use super::findings::{self, Facts, Finding};
use super::{Remark, Stage, Urgency, ears, sides, words};
use crate::falls_away::LOW_END_FALLS_DB;
use crate::words::number;
use Urgency::{Apart, Broken, Ears, Lost, Minor};

/// Where most limits come from.
const PRACTICE: &str = "common practice, no source";
/// Where the others do.
const OURS: &str = "ours";

/// The stages at which a rule speaks.
const BOTH: &[Stage] = &[Stage::Mixing, Stage::Printing];
const MIXING: &[Stage] = &[Stage::Mixing];
/// What only matters when the song leaves the room invites limiting before.
const PRINTING: &[Stage] = &[Stage::Printing];

/// What each rule looks at is in `findings`, and what its figure is; gaps in braces are filled from there. A rule keeps
/// those named under `instead_of` quiet while it speaks: they would tell what follows from it.
pub static RULES: [Rule; 22] = [
    Rule {
        id: "dead-channel",
        stages: BOTH,
        urgency: Broken,
        made: Limit::over(20.0, "s"),
        kept: 15.0,
        worse: 20.0,
        source: PRACTICE,
        looks_at: sides::dead_channel,
        says: "The {side} side is silent for {length} from {at} while the {other} one plays. Try its routing first.",
        instead_of: &["inverted-channel", "low-end-fold", "cancellation", "fold", "imbalance"],
    },
    Rule {
        id: "inverted-channel",
        stages: BOTH,
        urgency: Broken,
        made: Limit::under(-0.7, ""),
        kept: -0.6,
        worse: 0.1,
        source: OURS,
        looks_at: sides::inverted_channel,
        says: "The two sides are out of phase throughout: mono keeps little of the song. Turn the polarity of one first.",
        instead_of: &["low-end-fold", "cancellation", "fold", "correlation", "elsewhere"],
    },
    Rule {
        id: "non-finite",
        stages: BOTH,
        urgency: Broken,
        made: Limit::over(0.0, "samples"),
        kept: 0.0,
        worse: 1.0,
        source: OURS,
        looks_at: findings::non_finite,
        says: "{samples}{place}. Something upstream breaks: switch what is on the bus off one by one.",
        instead_of: &[],
    },
    Rule {
        id: "low-end-fold",
        stages: BOTH,
        urgency: Lost,
        made: Limit::under(LOW_END_FALLS_DB, "dB"),
        kept: -1.2,
        worse: 1.0,
        source: PRACTICE,
        looks_at: findings::low_end_fold,
        says: "{bands} {falls} in mono{place}. Something low is wide or out of phase between the sides: narrow it.",
        instead_of: &["correlation", "fold"],
    },
    Rule {
        id: "cancellation",
        stages: BOTH,
        urgency: Lost,
        made: Limit::under(-6.0, "dB"),
        kept: -5.0,
        worse: 1.0,
        source: OURS,
        looks_at: findings::cancellation,
        says: "{bands} {falls} in mono in the {length} from {at}: something cancels. Try the polarity of one part there first.",
        instead_of: &["correlation", "fold"],
    },
    Rule {
        id: "fold",
        stages: BOTH,
        urgency: Lost,
        made: Limit::over(1.0, "dB"),
        kept: 0.5,
        worse: 1.0,
        source: OURS,
        looks_at: sides::fold,
        says: "Mono takes {amount} of the song, and {records} of those records. Try the widest part narrower first.",
        instead_of: &["correlation"],
    },
    Rule {
        id: "correlation",
        stages: BOTH,
        urgency: Lost,
        made: Limit::under(-0.3, ""),
        kept: -0.2,
        worse: 0.1,
        source: OURS,
        looks_at: sides::correlation,
        says: "The two sides work against each other: correlation {correlation} over the song. Hear it in mono first.",
        instead_of: &[],
    },
    Rule {
        id: "candle-spent",
        stages: BOTH,
        urgency: Ears,
        made: Limit::over(0.0, "min"),
        kept: 0.0,
        worse: 30.0,
        source: PRACTICE,
        looks_at: ears::candle_spent,
        says: "You have worked {minutes} minutes on this song, and its time is over. This is a good place to stop: hear it tomorrow first.",
        instead_of: &["rest-due"],
    },
    Rule {
        id: "rest-due",
        stages: BOTH,
        urgency: Ears,
        made: Limit::over(0.0, "min"),
        kept: 0.0,
        worse: 10.0,
        source: PRACTICE,
        looks_at: ears::rest_due,
        says: "You have listened for {minutes} minutes without a rest. Rest {rest} minutes; then turn down, and hear a record first.",
        instead_of: &[],
    },
    Rule {
        id: "chair-level",
        stages: BOTH,
        urgency: Ears,
        made: Limit::over(4.0, "dB"),
        kept: 2.0,
        worse: 1.0,
        source: OURS,
        looks_at: ears::chair_level,
        says: "At the chair it is about {amount} louder than you meant to listen. Turn the monitors down first.",
        instead_of: &[],
    },
    Rule {
        id: "drift",
        stages: MIXING,
        urgency: Ears,
        made: Limit::over(3.0, "dB"),
        kept: 2.0,
        worse: 1.0,
        source: OURS,
        looks_at: ears::drift,
        says: "The mix has got {amount} {way} since {since}. Turn down, and hear a record before you go on.",
        instead_of: &["drift-bands"],
    },
    Rule {
        id: "drift-bands",
        stages: MIXING,
        urgency: Ears,
        made: Limit::over(4.0, "dB"),
        kept: 3.0,
        worse: 1.0,
        source: OURS,
        looks_at: ears::drift_of_bands,
        says: "{bands} has come {way} by {amount} since {since}. Turn down, and hear a record before you go on.",
        instead_of: &[],
    },
    Rule {
        id: "unlike-records",
        stages: BOTH,
        urgency: Apart,
        made: Limit::over(0.75, ""),
        kept: 0.65,
        worse: 0.1,
        source: OURS,
        looks_at: findings::unlike_records,
        says: "This song is not like those records. Take a yardstick from others, or go without one.",
        instead_of: &["balance", "compression", "elsewhere", "range", "fold", "mono-bus"],
    },
    Rule {
        id: "balance",
        stages: BOTH,
        urgency: Apart,
        made: Limit::over(0.5, "dB"),
        kept: 0.0,
        worse: 1.0,
        source: OURS,
        looks_at: findings::balance,
        says: "{bands} lies {amount} {side} where those records have it. Turn down, and hear one of them first.",
        instead_of: &["elsewhere"],
    },
    Rule {
        id: "compression",
        stages: BOTH,
        urgency: Apart,
        made: Limit::over(0.5, "dB"),
        kept: 0.0,
        worse: 1.0,
        source: OURS,
        looks_at: findings::compression,
        says: "The loud parts move less than those records’: PSR {psr}, theirs {records}. Try less limiting first.",
        instead_of: &["range"],
    },
    Rule {
        id: "elsewhere",
        stages: BOTH,
        urgency: Apart,
        made: Limit::over(2.0, "dB"),
        kept: 1.0,
        worse: 1.0,
        source: OURS,
        looks_at: ears::elsewhere,
        says: "Through {speakers} of {range} {amount} more is lost than of any of those records. Hear it on such a one first.",
        instead_of: &[],
    },
    Rule {
        id: "range",
        stages: PRINTING,
        urgency: Apart,
        made: Limit::over(3.0, "LU"),
        kept: 2.0,
        worse: 1.0,
        source: OURS,
        looks_at: findings::range,
        says: "The song keeps nearer to one loudness than those records: range {range}, theirs {records}. Try its quiet parts quieter first.",
        instead_of: &[],
    },
    Rule {
        id: "clipped-runs",
        stages: BOTH,
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
        stages: PRINTING,
        urgency: Minor,
        made: Limit::over(0.3, "dBTP"),
        kept: 0.1,
        worse: 1.0,
        source: OURS,
        looks_at: findings::true_peak_overs,
        says: "True peak goes to {peak}{place}. Turn the mix down a little before it is printed.",
        instead_of: &[],
    },
    Rule {
        id: "imbalance",
        stages: BOTH,
        urgency: Minor,
        made: Limit::over(3.0, "dB"),
        kept: 2.0,
        worse: 1.0,
        source: OURS,
        looks_at: sides::imbalance,
        says: "The {side} side is {amount} louder over the whole song. Look at the balance of the bus first.",
        instead_of: &[],
    },
    Rule {
        id: "mono-bus",
        stages: BOTH,
        urgency: Minor,
        made: Limit::over(0.9999, ""),
        kept: 0.999,
        worse: 0.1,
        source: OURS,
        looks_at: sides::mono_bus,
        says: "Both sides are the same throughout, and those records are wide. If it is not meant, look at the routing of the bus first.",
        instead_of: &[],
    },
    Rule {
        id: "dc",
        stages: BOTH,
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
    /// At which stages of a song it speaks.
    pub stages: &'static [Stage],
    /// How much it matters.
    pub urgency: Urgency,
    /// A remark is made beyond this,
    pub(super) made: Limit,
    /// and stays until its figure is no longer beyond this.
    pub(super) kept: f64,
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
            (0..4)
                .find(|places| (figure * 10f64.powi(*places)).fract() == 0.0)
                .map_or(4, |places| places as usize)
        };
        let number = |figure: f64| number(figure, decimals(figure));
        let side = if is_upper { "over" } else { "under" };
        let unit = if unit.is_empty() { String::new() } else { format!(" {unit}") };
        format!("{side} {}{unit}; stays to {}{unit}", number(figure), number(self.kept))
    }

    /// What the rule finds in a song, in which it has found something before or not.
    pub(super) fn finds(&'static self, facts: &Facts, has_before: bool) -> Option<Found> {
        if !self.stages.contains(&facts.given.around.stage) {
            return None;
        }
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
