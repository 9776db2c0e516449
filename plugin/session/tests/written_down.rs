//! A View that is written down and read back is the same View, and every number in it says its unit.

use candlemark_analysis::{Db, Hertz, Lufs};
use candlemark_session::candle::Candle;
use candlemark_session::comparison::{BandComparison, Comparison, RecordFigures};
use candlemark_session::figures::{BandFigures, Fold, Health, SilentSide, SongFigures, Spread, WorstFold};
use candlemark_session::strip::StripPoint;
use candlemark_session::view::View;
use serde_json::Value;

/// The ends of keys that are units.
const UNITS: [&str; 7] = ["lufs", "lu", "db", "dbtp", "dbfs", "hz", "s"];

/// Numbers that have no unit, with the reason.
const WITHOUT_UNIT: [(&str, &str); 8] = [
    ("correlation", "from −1 to 1"),
    ("kept", "a ratio from 0 to 1"),
    ("dc_left", "full scale is 1"),
    ("dc_right", "full scale is 1"),
    ("clipped_runs", "a count"),
    ("overs", "a count"),
    ("non_finite", "a count"),
    ("records", "a count"),
];

/// Figures with as many digits as a number can have, each another.
struct Figures(f64);

impl Figures {
    fn next(&mut self) -> f64 {
        self.0 = (self.0 * 1.37 + 0.1).rem_euclid(91.0);
        self.0 - 40.0
    }

    fn lufs(&mut self) -> Option<Lufs> {
        Some(Lufs(self.next()))
    }

    fn db(&mut self) -> Option<Db> {
        Some(Db(self.next()))
    }

    fn fold(&mut self) -> Fold {
        Fold { kept: Some(self.next().abs() / 91.0) }
    }

    fn range(&mut self) -> Option<[f64; 2]> {
        Some([self.next(), self.next()])
    }

    fn song(&mut self) -> SongFigures {
        let band = BandFigures {
            nominal: Hertz(31.5),
            level: self.db(),
            relative: Some(Spread { low_db: self.next(), median_db: self.next(), high_db: self.next() }),
            fold: self.fold(),
            correlation: Some(self.next() / 51.0),
        };
        SongFigures {
            duration_s: self.next(),
            gated_s: self.next(),
            integrated: self.lufs(),
            momentary_max: self.lufs(),
            short_term_max: self.lufs(),
            range_lu: Some(self.next()),
            true_peak_dbtp: self.db(),
            sample_peak_dbfs: self.db(),
            plr: self.db(),
            psr_loud: self.db(),
            fold: self.fold(),
            fold_worst: Some(WorstFold { fold: self.fold(), at_s: self.next() }),
            correlation: Some(self.next() / 51.0),
            bands: vec![band, BandFigures { nominal: Hertz(1000.0), ..band }],
            health: Health {
                dc_left: self.next() * 1e-9,
                dc_right: self.next() * 1e-300,
                clipped_runs: u64::MAX,
                overs: 3,
                imbalance: self.db(),
                silent_side: Some(SilentSide::Right),
                non_finite: 7,
                non_finite_at_s: Some(self.next()),
            },
        }
    }

    fn comparison(&mut self) -> Comparison {
        let band = BandComparison {
            nominal: Hertz(12500.0),
            off_db: self.next(),
            low_db: self.next(),
            high_db: self.next(),
            outside: true,
        };
        Comparison {
            name: "folk, “three” records\n".into(),
            records: 3,
            distance_db: Some(self.next()),
            figures: RecordFigures {
                range_lu: self.range(),
                psr_loud_db: self.range(),
                plr_db: self.range(),
                fold_db: self.range(),
            },
            bands: vec![band],
        }
    }

    fn view(&mut self) -> View {
        let mut candle = Candle::default();
        candle.burn(self.next().abs());
        View {
            momentary: self.lufs(),
            short_term: self.lufs(),
            integrated: self.lufs(),
            range_lu: Some(self.next()),
            true_peak_dbtp: self.db(),
            psr: self.db(),
            fold: self.fold(),
            correlation: Some(self.next() / 51.0),
            song: self.song(),
            comparison: Some(self.comparison()),
            strip: vec![StripPoint {
                song_s: self.next(),
                cell_s: self.next(),
                latest: self.lufs(),
                mono: self.lufs(),
                before: self.lufs(),
                over: true,
                aside: false,
            }],
            playhead_s: Some(self.next()),
            aside: true,
            candle,
            trouble: Some("Nothing is measured.".into()),
        }
    }
}

fn written(view: &View) -> String {
    serde_json::to_string(view).expect("a view can be written down")
}

/// Keys whose number says no unit; the items of a list go by the list's key.
fn without_unit(key: &str, value: &Value, found: &mut Vec<String>) {
    match value {
        Value::Number(_) => {
            let end = key.rsplit('_').next().unwrap_or(key);
            if !UNITS.contains(&end) && !WITHOUT_UNIT.iter().any(|(known, _)| *known == key) {
                found.push(key.to_owned());
            }
        }
        Value::Array(values) => values.iter().for_each(|value| without_unit(key, value, found)),
        Value::Object(pairs) => pairs.iter().for_each(|(key, value)| without_unit(key, value, found)),
        _ => {}
    }
}

#[test]
fn what_is_read_back_is_what_was_written_to_the_last_digit() {
    for seed in 0..200 {
        let view = Figures(f64::from(seed) / 7.0).view();
        let text = written(&view);
        let back: View = serde_json::from_str(&text).expect("a view can be read");
        assert_eq!(back, view);
        assert_eq!(written(&back), text);
    }
}

#[test]
fn a_view_of_nothing_is_read_back_too() {
    let text = written(&View::default());
    let back: View = serde_json::from_str(&text).expect("a view can be read");
    assert_eq!(back, View::default());
    assert_eq!(written(&back), text);
}

#[test]
fn every_number_says_its_unit() {
    let text = written(&Figures(1.0).view());
    assert!(!text.contains("null"), "a figure is left out of this test: {text}");
    let mut found = Vec::new();
    without_unit("", &serde_json::from_str(&text).unwrap(), &mut found);
    assert!(found.is_empty(), "{found:?}");
}

#[test]
fn a_number_without_a_unit_is_found() {
    let mut found = Vec::new();
    let bad = serde_json::json!({ "a": { "loudness": 1.0, "level_db": 2.0 }, "peaks": [[3.0, 4]] });
    without_unit("", &bad, &mut found);
    assert_eq!(found, ["loudness", "peaks", "peaks"]);
}
