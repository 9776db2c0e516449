//! Drift in words: brighter or duller, by how much, and since when.

use candlemark_analysis::Db;

use super::Drifts;
use crate::words::number;

/// Whether it has got brighter or duller.
pub(crate) fn way(brighter: Db) -> &'static str {
    if brighter.0 > 0.0 { "brighter" } else { "duller" }
}

/// The amount to a tenth, and the way.
fn amount_and_way(brighter: Db) -> (String, &'static str) {
    let amount = number(brighter.0.abs(), 1);
    let way = if amount == "0.0" { "no brighter" } else { way(brighter) };
    (amount, way)
}

fn said((amount, way): &(String, &str), since: &str) -> String {
    if amount == "0.0" { format!("{way} since {since}") } else { format!("{amount} dB {way} since {since}") }
}

impl Drifts {
    /// How much brighter or duller the song has got, since the last rest and since the start; and in short, since one of them
    /// alone: the rest, where that can be told. `None` where neither can.
    pub fn brighter_words(&self) -> Option<[String; 2]> {
        let of = |moved: &Option<super::Moved>| moved.as_ref()?.brighter_db.map(amount_and_way);
        match (of(&self.since_rest), of(&self.since_start)) {
            (Some(rest), Some(start)) => {
                let is_one_way = rest.1 == start.1 && start.0 != "0.0";
                let start = if is_one_way {
                    format!("{} since the start", start.0)
                } else {
                    said(&start, "the start")
                };
                let rest = said(&rest, "rest");
                Some([format!("{rest}, {start}"), rest])
            }
            (rest, start) => {
                let rest = rest.map(|rest| said(&rest, "rest"));
                let one = rest.or_else(|| start.map(|start| said(&start, "the start")))?;
                Some([one.clone(), one])
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::Moved;
    use super::*;

    fn moved(brighter_db: f64) -> Moved {
        Moved { bands_db: Vec::new(), brighter_db: Some(Db(brighter_db)), common_s: 60.0 }
    }

    #[test]
    fn it_is_said_which_way_and_since_when() {
        let said = |rest: Option<f64>, start: Option<f64>| {
            Drifts { since_rest: rest.map(moved), since_start: start.map(moved) }.brighter_words()
        };
        let both =
            ["0.4 dB brighter since rest, 1.3 dB duller since the start", "0.4 dB brighter since rest"];
        assert_eq!(said(Some(0.42), Some(-1.3)).unwrap(), both);
        assert_eq!(
            said(Some(0.42), Some(1.24)).unwrap()[0],
            "0.4 dB brighter since rest, 1.2 since the start"
        );
        let neither = "no brighter since rest, no brighter since the start";
        assert_eq!(said(Some(0.0), Some(-0.01)).unwrap()[0], neither);
        assert_eq!(said(None, Some(1.24)).unwrap(), ["1.2 dB brighter since the start"; 2]);
        assert_eq!(said(Some(-0.04), None).unwrap(), ["no brighter since rest"; 2]);
        assert_eq!(said(None, None), None);
        let untold = Moved { brighter_db: None, ..moved(0.0) };
        assert_eq!(Drifts { since_rest: None, since_start: Some(untold) }.brighter_words(), None);
    }
}
