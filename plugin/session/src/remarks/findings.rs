//! What the rules look at: each gives its figure, in the unit of its limit, and the words for it. What there is too
//! little sound for, or no records, is not found.

use candlemark_analysis::Db;

use super::balance::Balance;
use super::{Evidence, Figure, Given, words};
use crate::comparison::{RECORDS_TO_JUDGE, RecordFigures, reach};
use crate::falls_away::LOW_END_FALLS_DB;
use crate::figures::{Fold, SongFigures};
use crate::words::{bands, clock, from_to, number};
use crate::yardstick::{Record, Yardstick};

/// A song is judged as a whole from so much distinct gated sound on (common practice, no source), in seconds. Of a song
/// that is worked on, its loudest part is that of what has been heard.
pub(super) const WHOLE_S: f64 = 60.0;
/// So many adjacent bands make a finding (common practice, no source).
pub(super) const ADJACENT: usize = 3;
/// A mean over less sound than this is a wave's, not DC (ours), in seconds.
const DC_S: f64 = 10.0;
/// The low end is looked at where it has this share of the power (ours): in a sparse song it may be the room alone.
const LOW_END_SHARE: f64 = 0.1;

/// And where mono takes so much more of it than of what lies above (ours), in dB: a song that is as wide everywhere is wide
/// on purpose.
const WEAKER_DB: f64 = 0.5;

/// All that is known of a song.
pub(crate) struct Facts<'a> {
    pub(super) given: &'a Given<'a>,
    pub(super) song: &'a SongFigures,
    /// What it can be judged by: records enough, and enough of the song.
    pub(super) judged_by: Option<&'a Yardstick>,
    /// The rules that have found something so far, in their rank.
    pub(super) found: Vec<&'static str>,
}

/// What a rule has found.
pub(crate) struct Finding {
    /// What the rule's limit is about.
    pub(crate) figure: f64,
    pub(crate) evidence: Evidence,
    /// What the sentence's gaps are filled with.
    pub(crate) gaps: Vec<(&'static str, String)>,
}

impl Finding {
    /// One about the whole song.
    pub(super) fn of_whole(figure: f64, evidence: Figure, gaps: Vec<(&'static str, String)>) -> Self {
        Self { figure, evidence: Evidence { figure: evidence, bands_hz: None, at_s: None }, gaps }
    }

    /// The same of some bands.
    pub(super) fn in_bands(mut self, bands_hz: [f64; 2]) -> Self {
        self.evidence.bands_hz = Some(bands_hz);
        self
    }

    /// The same of a place, where that is known.
    pub(super) fn at(mut self, at_s: Option<f64>) -> Self {
        self.evidence.at_s = at_s;
        self
    }
}

impl<'a> Facts<'a> {
    pub(crate) fn new(given: &'a Given<'a>) -> Self {
        let song = given.song;
        let can_judge =
            |yardstick: &&Yardstick| yardstick.records.len() >= RECORDS_TO_JUDGE && song.gated_s >= WHOLE_S;
        Self { given, song, judged_by: given.around.yardstick.filter(can_judge), found: Vec::new() }
    }

    /// What enough records say of a figure, from the lowest to the highest.
    pub(super) fn records_db(&self, figure: fn(&Record) -> Option<f64>) -> Option<[f64; 2]> {
        let records = &self.judged_by?.records;
        let figures = || records.iter().filter_map(figure);
        reach(figures()).filter(|_| figures().count() >= RECORDS_TO_JUDGE)
    }
}

/// A fold as a figure: where nothing is kept it lies below every limit.
pub(super) fn fold_db(fold: Fold) -> Option<f64> {
    fold.kept.map(|_| fold.db().map_or(f64::NEG_INFINITY, |db| db.0))
}

fn kept_order(a: Fold, b: Fold) -> std::cmp::Ordering {
    a.kept.unwrap_or(1.0).total_cmp(&b.kept.unwrap_or(1.0))
}

/// The fold of the bands under 125 Hz together, gated.
pub(crate) fn low_end_fold(facts: &Facts) -> Option<Finding> {
    let low = facts.song.low_end.filter(|_| facts.song.gated_s >= WHOLE_S)?;
    let low_db = fold_db(low.fold)?;
    let is_weaker_than_the_rest =
        fold_db(low.above_fold).is_none_or(|above_db| low_db < above_db - WEAKER_DB);
    if low.power_share < LOW_END_SHARE || !is_weaker_than_the_rest {
        return None;
    }
    let falls = low.falls;
    let place = match (falls.at_s, falls.until_s) {
        (Some(at_s), None) => format!(" from {}", clock(at_s)),
        (Some(at_s), Some(until_s)) => {
            format!(", first from {} to {}", clock(at_s), clock(until_s))
        }
        (None, _) => String::new(),
    };
    let gaps = vec![("bands", bands(falls.bands_hz)), ("falls", words::falls(falls.fold)), ("place", place)];
    let finding = Finding::of_whole(low_db, Figure::Fold(falls.fold.db()), gaps);
    Some(finding.in_bands(falls.bands_hz).at(falls.at_s))
}

/// The fold of the 10 s of an octave above the low end that lose most. What falls away together with the low end is not
/// told twice.
pub(crate) fn cancellation(facts: &Facts) -> Option<Finding> {
    let low_end = low_end_fold(facts).filter(|low_end| low_end.figure < LOW_END_FALLS_DB);
    let told_hz = low_end.and_then(|low_end| low_end.evidence.bands_hz).map_or(0.0, |[_, highest]| highest);
    let octaves = facts.song.cancels.iter().filter(|octave| octave.bands_hz[0] > told_hz);
    let worst = *octaves.min_by(|a, b| kept_order(a.fold, b.fold))?;
    let (at_s, until_s) = (worst.at_s?, worst.until_s?);
    let gaps = vec![
        ("bands", bands(worst.bands_hz)),
        ("falls", words::falls(worst.fold)),
        ("length", words::length(until_s - at_s)),
        ("at", clock(at_s)),
    ];
    let finding = Finding::of_whole(fold_db(worst.fold)?, Figure::Fold(worst.fold.db()), gaps);
    Some(finding.in_bands(worst.bands_hz).at(Some(at_s)))
}

/// The share of the bands that lie clearly outside the records.
pub(crate) fn unlike_records(facts: &Facts) -> Option<Finding> {
    let share = Balance::new(facts.song, facts.judged_by?).outside_share()?;
    Some(Finding::of_whole(share, Figure::OutsideShare(share), Vec::new()))
}

/// How far three adjacent bands all lie outside the records on the same side, beyond what one more record may: the worst
/// three.
pub(crate) fn balance(facts: &Facts) -> Option<Finding> {
    let range = Balance::new(facts.song, facts.judged_by?).worst_range()?;
    let side = if range.off_db > 0.0 { "above" } else { "below" };
    let gaps = vec![
        ("bands", bands(range.bands_hz)),
        ("amount", words::amount(range.off_db)),
        ("side", side.to_owned()),
    ];
    Some(Finding::of_whole(range.beyond_db, Figure::Off(Db(range.off_db)), gaps).in_bands(range.bands_hz))
}

/// How far the PSR of the loud parts, the PLR and the crest factor all lie under the records' lowest.
///
/// The three are witnesses of the same thing by different clocks and ears: of the loudest 30 s, of the whole, and of the whole
/// unweighted, where a strong low end lowers it. Loudness range is no fourth: a bus that is squeezed by its fastest peaks keeps
/// its range, and an even song without any compression has little.
pub(crate) fn compression(facts: &Facts) -> Option<Finding> {
    let yardstick = facts.judged_by?;
    let records = RecordFigures::of(yardstick);
    let enough = yardstick
        .records
        .iter()
        .filter(|record| record.psr_loud_db.zip(record.plr_db).zip(record.crest_db).is_some());
    if enough.count() < RECORDS_TO_JUDGE {
        return None;
    }
    let [psr_low, psr_high] = records.psr_loud_db?;
    let ([plr_low, _], [crest_low, _]) = (records.plr_db?, records.crest_db?);
    let (psr, plr, crest) = (facts.song.psr_loud?, facts.song.plr?, facts.song.crest?);
    let under = [psr_low - psr.0, plr_low - plr.0, crest_low - crest.0];
    let gaps = vec![
        ("psr", format!("{} dB", number(psr.0, 1))),
        ("records", format!("{} dB", from_to([psr_low, psr_high]))),
    ];
    Some(Finding::of_whole(under.into_iter().fold(f64::INFINITY, f64::min), Figure::PsrLoud(psr), gaps))
}

/// Clipped runs, where there are any.
pub(crate) fn clipped_runs(facts: &Facts) -> Option<Finding> {
    let health = &facts.song.health;
    let (runs, at_s) = (health.clipped_runs, health.clipped_at_s);
    let gaps = vec![("times", words::times(runs)), ("place", words::first_at(at_s))];
    (runs > 0).then(|| Finding::of_whole(runs as f64, Figure::ClippedRuns(runs), gaps).at(at_s))
}

/// The largest true peak.
pub(crate) fn true_peak_overs(facts: &Facts) -> Option<Finding> {
    let (peak, at_s) = (facts.song.true_peak_dbtp?, facts.song.health.over_at_s);
    let gaps = vec![
        ("peak", format!("+{} dBTP", number(peak.0, 1))),
        ("place", at_s.map_or_else(String::new, |at_s| format!(", first over at {}", clock(at_s)))),
    ];
    Some(Finding::of_whole(peak.0, Figure::TruePeak(peak), gaps).at(at_s))
}

/// The level of the mean of the samples, of the side that has more.
pub(crate) fn dc(facts: &Facts) -> Option<Finding> {
    let health = &facts.song.health;
    let (left, right) = (health.dc_left.abs(), health.dc_right.abs());
    let level = Db::of_amplitude(left.max(right)).filter(|_| facts.song.duration_s >= DC_S)?;
    // Within a decibel or so the sides have the same.
    let place = if left.min(right) > 0.9 * left.max(right) {
        "on both sides"
    } else if left > right {
        "on the left"
    } else {
        "on the right"
    };
    let gaps = vec![("level", format!("{} dBFS", number(level.0, 0))), ("where", place.to_owned())];
    Some(Finding::of_whole(level.0, Figure::Dc(level), gaps))
}

/// Samples that are no numbers.
pub(crate) fn non_finite(facts: &Facts) -> Option<Finding> {
    let health = &facts.song.health;
    let (count, at_s) = (health.non_finite, health.non_finite_at_s);
    let samples =
        if count == 1 { "One sample is no number".into() } else { format!("{count} samples are no numbers") };
    let gaps = vec![("samples", samples), ("place", words::first_at(at_s))];
    (count > 0).then(|| Finding::of_whole(count as f64, Figure::NonFinite(count), gaps).at(at_s))
}

/// How far the loudness range lies under the records' lowest. Nothing is said of more range than theirs: a fade or a
/// breakdown is enough for it.
pub(crate) fn range(facts: &Facts) -> Option<Finding> {
    let records_lu = facts.records_db(|record| record.range_lu)?;
    let range_lu = facts.song.range_lu?;
    Some(Finding::of_whole(
        records_lu[0] - range_lu,
        Figure::Range(range_lu),
        vec![
            ("range", format!("{} LU", number(range_lu, 1))),
            ("records", format!("{} LU", from_to(records_lu))),
        ],
    ))
}
