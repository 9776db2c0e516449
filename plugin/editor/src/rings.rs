//! Rings: where mono leaves a band, and how much it takes away.

use candlemark_session::comparison::BandComparison;
use candlemark_session::figures::BandFigures;
use candlemark_session::words::number;

/// Where every ring is asked for, one stands from here on (ours): nearer, it would lie on its bead.
const WORTH_A_RING_DB: f64 = -0.5;

/// What mono takes from a band.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Ring {
    /// So many dB, below 0.
    Falls(f64),
    /// All of it.
    Lost,
}

impl Ring {
    /// The ring of a band, when its fold is worth telling: where three records or more tell theirs, when it lies
    /// outside; elsewhere when it is low for any music.
    ///
    /// `always`, what any band loses is told from [`WORTH_A_RING_DB`] on.
    pub(crate) fn of(band: &BandFigures, records: Option<&BandComparison>, always: bool) -> Option<Self> {
        let kept = band.fold.kept?;
        let Some(fold) = band.fold.db() else { return (kept == 0.0).then_some(Self::Lost) };
        let told_below_db =
            records.and_then(BandComparison::falls_below_db).unwrap_or_else(|| band.falls_below_db());
        let told_below_db = if always { told_below_db.max(WORTH_A_RING_DB) } else { told_below_db };
        (fold.0 < told_below_db).then_some(Self::Falls(fold.0))
    }

    /// Where the ring lies when its bead lies at `db`.
    pub(crate) fn below_db(self, db: f64) -> f64 {
        db + self.fold_db()
    }

    /// What mono leaves of the band, in dB.
    pub(crate) fn fold_db(self) -> f64 {
        match self {
            Self::Falls(fold_db) => fold_db,
            Self::Lost => f64::NEG_INFINITY,
        }
    }

    /// Its figure.
    pub(crate) fn figure(self) -> String {
        match self {
            Self::Falls(db) => number(db, 0),
            Self::Lost => "lost".into(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixtures::{band, records};

    fn ring(hz: f64, kept: Option<f64>) -> Option<Ring> {
        Ring::of(&band(hz, kept), None, false)
    }

    #[test]
    fn the_low_end_is_told_sooner() {
        let half = Some(0.5);
        assert!(matches!(ring(100.0, half), Some(Ring::Falls(db)) if (db + 3.0103).abs() < 1e-4));
        assert_eq!(ring(125.0, half), None);
        assert!(matches!(ring(125.0, Some(0.3)), Some(Ring::Falls(_))));
        assert_eq!(ring(100.0, Some(0.8)), None);
    }

    #[test]
    fn what_the_records_lose_as_well_is_not_told() {
        let records = |fold_low_db| records(1000.0, fold_low_db);
        let fifth = band(1000.0, Some(0.2));
        assert_eq!(Ring::of(&fifth, Some(&records(Some(-6.5))), false), None, "−7 beside −6.5");
        assert!(Ring::of(&fifth, Some(&records(Some(-5.5))), false).is_some());
        assert!(Ring::of(&fifth, Some(&records(None)), false).is_some(), "low for any music");
        let half = band(1000.0, Some(0.5));
        assert!(Ring::of(&half, Some(&records(Some(-0.5))), false).is_some(), "−3 beside −0.5");
        assert_eq!(Ring::of(&half, Some(&records(None)), false), None);
    }

    #[test]
    fn where_every_ring_is_asked_for_one_stands_from_half_a_decibel_on() {
        let always = |db: f64| Ring::of(&band(1000.0, Some(10f64.powf(db / 10.0))), None, true);
        assert!(always(-0.6).is_some());
        assert_eq!(always(-0.4), None);
        assert_eq!(Ring::of(&band(1000.0, Some(0.8)), None, false), None);
    }

    #[test]
    fn nothing_kept_is_lost_and_silence_is_nothing() {
        assert_eq!(ring(1000.0, Some(0.0)), Some(Ring::Lost));
        assert_eq!(ring(1000.0, None), None);
        assert_eq!(Ring::Lost.figure(), "lost");
        assert_eq!(Ring::Falls(-4.6).figure(), "−5");
    }
}
