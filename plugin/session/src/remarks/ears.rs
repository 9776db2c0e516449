//! What the rules look at beside the song: how long and how loudly it was listened to, what that did to it, and how
//! it fares elsewhere.

use candlemark_analysis::Db;
use candlemark_analysis::bands::NOMINAL_HZ;

use super::findings::{ADJACENT, Facts, Finding};
use super::{Figure, words};
use crate::candle::{MINUTE_S, Rest};
use crate::drift::{self, Moved};
use crate::statistics::mean;
use crate::words::{bands, number};

/// Bands are followed from here on, in hertz: under it a few notes more are as much (ours).
const FOLLOWED_FROM_HZ: f64 = 250.0;

/// Minutes for which a rest has been due.
pub(crate) fn rest_due(facts: &Facts) -> Option<Finding> {
    let candle = facts.given.around.candle;
    let Rest::Due(for_s) = candle.rest() else { return None };
    let (worked_s, rest_s) = (candle.worked_s(), candle.times().rest_for_s);
    Some(Finding::of_whole(
        for_s / MINUTE_S,
        Figure::Worked(worked_s),
        vec![("minutes", number(worked_s / MINUTE_S, 0)), ("rest", number(rest_s / MINUTE_S, 0))],
    ))
}

/// Minutes by which a song has taken more than its time.
pub(crate) fn candle_spent(facts: &Facts) -> Option<Finding> {
    let candle = facts.given.around.candle;
    let (burnt_s, over_s) = (candle.burnt_s(), candle.burnt_s() - candle.budget_s());
    let gaps = vec![("minutes", number(burnt_s / MINUTE_S, 0))];
    (over_s > 0.0).then(|| Finding::of_whole(over_s / MINUTE_S, Figure::Worked(burnt_s), gaps))
}

/// How far the level at the chair lies above what is meant.
pub(crate) fn chair_level(facts: &Facts) -> Option<Finding> {
    let over_db = facts.given.around.chair_over_db?;
    let gaps = vec![("amount", words::amount(over_db))];
    Some(Finding::of_whole(over_db, Figure::OverMeant(Db(over_db)), gaps))
}

/// How far the balance has moved since the last rest, or without one since the first passes, and from when on.
fn moved<'a>(facts: &Facts<'a>) -> Option<(&'a Moved, &'static str)> {
    let (moved, since_rest) = facts.given.drifts?.latest()?;
    Some((moved, if since_rest { "the last rest" } else { "its first passes" }))
}

/// How much brighter or duller the song has got.
pub(crate) fn drift(facts: &Facts) -> Option<Finding> {
    let (moved, since) = moved(facts)?;
    let brighter = moved.brighter_db?;
    let way = drift::words::way(brighter);
    Some(Finding::of_whole(
        brighter.0.abs(),
        Figure::Moved(brighter),
        vec![("amount", words::amount(brighter.0)), ("way", way.to_owned()), ("since", since.to_owned())],
    ))
}

/// How far three adjacent bands have all moved at least, to the same side: those that moved furthest.
pub(crate) fn drift_of_bands(facts: &Facts) -> Option<Finding> {
    let (moved, since) = moved(facts)?;
    let followed: Vec<(f64, f64)> = NOMINAL_HZ
        .into_iter()
        .zip(&moved.bands_db)
        .filter_map(|(hz, moved)| Some((hz, moved.as_ref()?.0)))
        .filter(|(hz, _)| *hz >= FOLLOWED_FROM_HZ)
        .collect();
    let least = |three: &[(f64, f64)]| {
        let [first, middle, last] = *three else { return 0.0 };
        let signs = [first.1, middle.1, last.1].map(f64::signum);
        let is_one_way = signs.iter().all(|sign| *sign == signs[0]);
        let least = [first, middle, last].into_iter().map(|(_, db)| db.abs()).fold(f64::INFINITY, f64::min);
        if is_one_way { least } else { 0.0 }
    };
    let worst = followed.windows(ADJACENT).max_by(|a, b| least(a).total_cmp(&least(b)))?;
    let (first, last) = (worst.first()?, worst.last()?);
    let mean_db = mean(worst.iter().map(|(_, db)| *db))?;
    let (bands_hz, way) = ([first.0, last.0], if mean_db > 0.0 { "up" } else { "down" });
    let gaps = vec![
        ("bands", bands(bands_hz)),
        ("amount", words::amount(mean_db)),
        ("way", way.to_owned()),
        ("since", since.to_owned()),
    ];
    Some(Finding::of_whole(least(worst), Figure::Moved(Db(mean_db)), gaps).in_bands(bands_hz))
}

/// Rules that tell what mono takes: where one has found something, one speaker that plays both sides loses the same.
const TELL_OF_MONO: [&str; 3] = ["low-end-fold", "cancellation", "fold"];

/// How far the loudness kept elsewhere lies under what is kept of any record, on the playback where it is most. Where it has
/// been told what mono takes, of two speakers alone.
pub(crate) fn elsewhere(facts: &Facts) -> Option<Finding> {
    facts.judged_by?;
    let mono_is_told = TELL_OF_MONO.iter().any(|rule| facts.found.contains(rule));
    let untold = facts.given.elsewhere.iter().filter(|one| !mono_is_told || one.playback.speakers() > 1);
    let short = untold.filter_map(|one| {
        let (kept_db, [lowest_db, _]) = one.kept_db.zip(one.records_db)?;
        Some((lowest_db - kept_db, kept_db, one.playback))
    });
    let (short_db, kept_db, playback) = short.max_by(|a, b| a.0.total_cmp(&b.0))?;
    let gaps = vec![
        ("speakers", playback.speakers_words().to_owned()),
        ("range", bands(playback.range_hz())),
        ("amount", words::amount(short_db)),
    ];
    Some(Finding::of_whole(short_db, Figure::Kept(Db(kept_db)), gaps).in_bands(playback.range_hz()))
}
