//! Percentiles and medians against NumPy's.

use candlemark_session::statistics::{median, percentile};
use serde::Deserialize;

use crate::python;

#[derive(Deserialize)]
struct Row {
    values: Vec<f64>,
    percents: Vec<f64>,
    percentiles: Vec<f64>,
    median: f64,
}

/// Rounding of numbers under a hundred, in the sums and in the text between.
const ROUNDING: f64 = 1e-12;

#[test]
fn percentiles_and_medians_are_numpys() {
    let rows: Vec<Row> = python::printed("numpy_percentiles.py", &[]);
    assert!(rows.len() > 80);
    for mut row in rows {
        let length = row.values.len();
        // Of values in any order, as drawn.
        let ours = median(&mut row.values).unwrap();
        assert!((ours - row.median).abs() <= ROUNDING, "{length} values: {ours} for {}", row.median);
        assert!(row.values.is_sorted());
        assert_eq!(row.percents.len(), row.percentiles.len());
        for (percent, theirs) in row.percents.iter().zip(&row.percentiles) {
            let ours = percentile(&row.values, *percent).unwrap();
            assert!((ours - theirs).abs() <= ROUNDING, "{length} values, {percent} %: {ours} for {theirs}");
        }
    }
}
