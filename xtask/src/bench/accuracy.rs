//! How right the figures are: what the tests say of it.

use std::process::Stdio;

use anyhow::{Context, Result, bail};

use super::number_in;
use super::table::{Row, Table};
use crate::process;

/// What runs, and which tests of it.
const TESTS: [(&str, &str, &[&str]); 2] = [
    ("candlemark-tests", "standards", &["third_octaves", "multisine", "true_peak", "k_weighting"]),
    ("candlemark-analysis", "vectors", &[]),
];

/// Runs the tests that print what they hold, and makes rows of it.
pub(super) fn rows(table: &mut Table) -> Result<()> {
    for (package, target, names) in TESTS {
        let mut tests = process::cargo(["test", "--locked", "--package", package, "--test", target, "--"]);
        tests.args(["--nocapture", "--test-threads", "1"]).args(names).stderr(Stdio::inherit());
        eprintln!("$ {}", process::line(&tests));
        let printed = process::output(&mut tests)?;
        print!("{printed}");
        let before = table.len();
        for line in printed.lines().filter_map(told) {
            table.add(row(line).with_context(|| format!("{line:?} is not as it should be"))?);
        }
        if table.len() == before {
            bail!("the tests {target} of {package} told of no accuracy");
        }
    }
    Ok(())
}

/// What a line tells of an accuracy; the test's own name may stand before it.
fn told(line: &str) -> Option<&str> {
    line.split_once("accuracy | ").map(|(_, told)| told)
}

fn row(told: &str) -> Result<Row> {
    let [figure, off, limit, unit] = told.split(" | ").collect::<Vec<_>>()[..] else {
        bail!("it has not four parts")
    };
    Ok(Row::new(figure, number_in(off)?, "limit", number_in(limit)?, unit, Some(1.0)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_row_is_made_of_what_a_test_prints() {
        let line = "test k_weighting::sines ... accuracy | K-weighting | 0.01 | 0.05 | dB";
        let mut table = Table::default();
        table.add(row(told(line).unwrap()).unwrap());
        assert!(table.to_string().contains("0.010 dB"));
        assert!(told("accuracy is not what this says").is_none());
        assert!(row("K-weighting | much | 0.05 | dB").is_err());
        assert!(row("K-weighting | 0.05 | dB").is_err());
    }
}
