//! What the rules look at in the two sides, beside each other and in mono.

use super::findings::{Facts, Finding, WHOLE_S, fold_db};
use super::{Figure, words};
use crate::statistics::median;
use crate::words::{clock, number};

/// The sides are not called each other's mirror on less gated sound than this (ours), in seconds.
const SIDES_S: f64 = 20.0;
/// A record whose mono fold lies under this is wide (ours), in dB.
const WIDE_DB: f64 = -0.1;

/// Seconds of digital silence in one side while the other plays: the longest stretch.
pub(crate) fn dead_channel(facts: &Facts) -> Option<Finding> {
    let found = facts.song.health.one_sided?;
    let [side, other] = found.silent.names();
    let gaps = vec![
        ("side", side.to_owned()),
        ("other", other.to_owned()),
        ("length", words::length(found.length_s)),
        ("at", clock(found.at_s)),
    ];
    Some(Finding::of_whole(found.length_s, Figure::Length(found.length_s), gaps).at(Some(found.at_s)))
}

/// The correlation of the gated song, or the middle one of its bands', whichever is higher: a strong low end alone that is
/// out of phase is no channel turned over.
fn sides_agree(facts: &Facts, from_s: f64) -> Option<f64> {
    let whole = facts.song.correlation.filter(|_| facts.song.gated_s >= from_s)?;
    let mut bands: Vec<f64> = facts.song.bands.iter().filter_map(|band| band.correlation).collect();
    Some(whole.max(median(&mut bands)?))
}

/// How far the sides agree, where they mirror each other.
pub(crate) fn inverted_channel(facts: &Facts) -> Option<Finding> {
    let correlation = sides_agree(facts, SIDES_S)?;
    Some(Finding::of_whole(correlation, Figure::Correlation(correlation), Vec::new()))
}

/// How far the song's mono fold lies under the records' lowest.
pub(crate) fn fold(facts: &Facts) -> Option<Finding> {
    let [lowest_db, highest_db] = facts.records_db(|record| record.fold_db)?;
    let fold = facts.song.fold;
    let reach = format!("{} to {}", words::amount(highest_db), words::amount(lowest_db));
    Some(Finding::of_whole(
        lowest_db - fold_db(fold)?,
        Figure::Fold(fold.db()),
        vec![("amount", fold.db().map_or("all".to_owned(), |db| words::amount(db.0))), ("records", reach)],
    ))
}

/// How far the sides agree, in a song long enough to be judged.
pub(crate) fn correlation(facts: &Facts) -> Option<Finding> {
    let correlation = sides_agree(facts, WHOLE_S)?;
    let gaps = vec![("correlation", number(correlation, 1))];
    Some(Finding::of_whole(correlation, Figure::Correlation(correlation), gaps))
}

/// How much louder one side is over the whole of a song.
pub(crate) fn imbalance(facts: &Facts) -> Option<Finding> {
    let imbalance = facts.song.health.imbalance.filter(|_| facts.song.gated_s >= WHOLE_S)?;
    let side = if imbalance.0 > 0.0 { "left" } else { "right" };
    Some(Finding::of_whole(
        imbalance.0.abs(),
        Figure::Imbalance(imbalance),
        vec![("side", side.to_owned()), ("amount", words::amount(imbalance.0))],
    ))
}

/// The share of the power that mono keeps, beside records all of which are wide. Without them, mono is as good a choice
/// as another.
pub(crate) fn mono_bus(facts: &Facts) -> Option<Finding> {
    let [_, highest_db] = facts.records_db(|record| record.fold_db)?;
    // A bus of one channel has no correlation.
    let kept = facts.song.fold.kept.filter(|_| highest_db < WIDE_DB && facts.song.correlation.is_some())?;
    Some(Finding::of_whole(kept, Figure::Fold(facts.song.fold.db()), Vec::new()))
}
