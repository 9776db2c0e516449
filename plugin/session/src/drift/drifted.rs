//! Which bands have drifted: the row of them that has come up or gone down most since the ears were fresh.

use candlemark_analysis::bands::NOMINAL_HZ;

use super::{Drifts, Moved};
use crate::words::signed;

/// A band has drifted from so much on (ours): less is what a person does all the time.
const DRIFTED_DB: f64 = 1.0;

/// Bands in a row that have moved the same way, and by how much in the mean.
#[derive(Clone, Debug, PartialEq)]
pub struct Drifted {
    /// The nominal frequency of the lowest and of the highest band, in hertz.
    pub bands_hz: [f64; 2],
    /// How far they have come up beside the whole (gone down is below 0), in dB, in the mean.
    pub amount_db: f64,
    /// It is since the last rest; else since the song's first passes.
    pub since_rest: bool,
}

impl Drifts {
    /// The bands that have moved most: since the rest where that can be told, else since the start. `None` where nothing has.
    pub fn most_drifted(&self) -> Option<Drifted> {
        let (moved, since_rest) = self.latest()?;
        widest(moved, since_rest)
    }
}

fn widest(moved: &Moved, since_rest: bool) -> Option<Drifted> {
    let heard = NOMINAL_HZ.iter().zip(&moved.bands_db).map(|(hz, db)| (*hz, db.map_or(0.0, |db| db.0)));
    let bands: Vec<(f64, f64)> = heard.collect();
    let way = |(_, db): &(f64, f64)| if db.abs() < DRIFTED_DB { 0.0 } else { db.signum() };
    let rows = bands.chunk_by(|one, next| way(one) == way(next)).filter(|row| way(&row[0]) != 0.0);
    let sum = |row: &[(f64, f64)]| row.iter().map(|(_, db)| db).sum::<f64>();
    // Of rows that have moved as much, the lowest.
    let row = rows.rev().max_by(|a, b| sum(a).abs().total_cmp(&sum(b).abs()))?;
    let amount_db = sum(row) / row.len() as f64;
    Some(Drifted { bands_hz: [row[0].0, row[row.len() - 1].0], amount_db, since_rest })
}

impl Drifted {
    /// By how much, and since when.
    pub fn words(&self) -> String {
        let since = if self.since_rest { "since rest" } else { "since the start" };
        format!("{} dB {since}", signed(self.amount_db, 1))
    }
}

#[cfg(test)]
mod tests {
    use candlemark_analysis::Db;

    use super::*;

    fn moved(bands: &[(f64, f64)]) -> Moved {
        let of = |hz: &f64| bands.iter().find(|(band, _)| band == hz).map_or(0.0, |(_, db)| *db);
        let bands_db = NOMINAL_HZ.iter().map(|hz| Some(Db(of(hz)))).collect();
        Moved { bands_db, brighter_db: None, common_s: 60.0 }
    }

    #[test]
    fn the_bands_that_moved_most_are_told() {
        let lift = [(3150.0, 2.0), (4000.0, 2.2), (5000.0, 2.1), (63.0, -1.2)];
        let drifts = Drifts { since_rest: Some(moved(&lift)), since_start: Some(moved(&[])) };
        let drifted = drifts.most_drifted().unwrap();
        assert_eq!(drifted.bands_hz, [3150.0, 5000.0]);
        assert_eq!(drifted.words(), "+2.1 dB since rest");
        let drifts = Drifts { since_rest: None, since_start: Some(moved(&[(63.0, -1.2)])) };
        assert_eq!(drifts.most_drifted().unwrap().words(), "−1.2 dB since the start");
    }

    #[test]
    fn what_a_person_does_all_the_time_is_no_drift() {
        let drifts = Drifts { since_rest: Some(moved(&[(4000.0, 0.9)])), since_start: None };
        assert_eq!(drifts.most_drifted(), None);
        assert_eq!(Drifts::default().most_drifted(), None);
    }

    #[test]
    fn up_and_down_side_by_side_are_two_rows() {
        let drifts = Drifts {
            since_rest: Some(moved(&[(4000.0, 1.5), (5000.0, -3.0), (6300.0, -1.0), (20_000.0, 1.1)])),
            since_start: None,
        };
        let drifted = drifts.most_drifted().unwrap();
        assert_eq!((drifted.bands_hz, drifted.amount_db), ([5000.0, 6300.0], -2.0));
    }
}
