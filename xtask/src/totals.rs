//! Adding up what the tests' binaries report.

use std::fmt;

/// How many tests did what, over all test binaries.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Totals {
    pub(crate) passed: u64,
    pub(crate) failed: u64,
    pub(crate) ignored: u64,
}

impl Totals {
    /// Adds a line of output, if it is a summary such as `test result: ok. 3 passed; 0 failed; 0 ignored; …`.
    pub(crate) fn add_line(&mut self, line: &str) {
        let Some((_, counts)) = line.strip_prefix("test result: ").and_then(|rest| rest.split_once(". "))
        else {
            return;
        };
        for count in counts.split("; ") {
            let Some((number, what)) = count.split_once(' ') else { continue };
            let Ok(number) = number.parse::<u64>() else { continue };
            match what {
                "passed" => self.passed += number,
                "failed" => self.failed += number,
                "ignored" => self.ignored += number,
                _ => {}
            }
        }
    }
}

impl fmt::Display for Totals {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let result = if self.failed == 0 && self.ignored == 0 && self.passed > 0 { "ok" } else { "FAILED" };
        write!(
            f,
            "test result: {result}. {} passed; {} failed; {} ignored (all test binaries together)",
            self.passed, self.failed, self.ignored
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn summaries_add_up_and_other_lines_do_not() {
        let mut totals = Totals::default();
        for line in [
            "running 3 tests",
            "test result: is not what this says ... ok",
            "test result: ok. 3 passed; 0 failed; 0 ignored; 0 measured; 1 filtered out; finished in 0.00s",
            "test result: FAILED. 10 passed; 2 failed; 1 ignored; 0 measured; 0 filtered out; finished in 1.2s",
        ] {
            totals.add_line(line);
        }
        assert_eq!(totals, Totals { passed: 13, failed: 2, ignored: 1 });
        assert!(totals.to_string().contains("FAILED. 13 passed; 2 failed; 1 ignored"));
    }

    #[test]
    fn no_test_at_all_is_not_a_success() {
        assert!(Totals::default().to_string().contains("FAILED"));
    }
}
