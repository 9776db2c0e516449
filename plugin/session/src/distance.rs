//! One figure for how far two balances lie apart.

/// A relative level below this is not heard (common practice, no source): how far below tells of a file's coding, not of
/// a balance.
const UNHEARD_DB: f64 = -80.0;

/// Root mean square over third octaves, each of the same weight, of the difference between two balances' relative levels
/// in dB, of which those under −80 dB of the loudness count as −80. 0 for a balance beside itself; `None` without bands.
pub(crate) fn distance_db(pairs: impl IntoIterator<Item = [f64; 2]>) -> Option<f64> {
    let (mut squares, mut bands) = (0.0, 0.0);
    for [one_db, other_db] in pairs {
        squares += (one_db.max(UNHEARD_DB) - other_db.max(UNHEARD_DB)).powi(2);
        bands += 1.0;
    }
    (bands > 0.0).then(|| (squares / bands).sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_balance_lies_on_itself_and_unheard_levels_are_alike() {
        assert_eq!(distance_db([[-20.0, -20.0], [-35.5, -35.5], [-300.0, -300.0]]), Some(0.0));
        assert_eq!(distance_db([[-81.0, -300.0]]), Some(0.0));
        assert_eq!(distance_db([[-77.0, -300.0]]), Some(3.0));
        assert_eq!(distance_db([]), None);
    }

    #[test]
    fn bands_weigh_alike_and_each_way_round() {
        // By hand: √((3² + 4² + 0² + 0²)/4).
        let pairs = [[-20.0, -23.0], [-30.0, -26.0], [-40.0, -40.0], [-50.0, -50.0]];
        assert_eq!(distance_db(pairs), Some(2.5));
        assert_eq!(distance_db(pairs.map(|[one, other]| [other, one])), Some(2.5));
    }
}
