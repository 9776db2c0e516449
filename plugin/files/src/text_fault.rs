//! What can be wrong with the text of a yardstick or a delivery profile.

use candlemark_session::delivery::BadLimit;
use thiserror::Error;

use crate::text_format::TextFormat;

/// What is wrong with the text of a yardstick or a delivery profile. `Display` says what, where and what to do.
#[derive(Clone, Debug, PartialEq, Error)]
#[error("{}", self.words())]
pub struct TextFault {
    pub(crate) format: &'static TextFormat,
    pub(crate) flaw: Flaw,
}

/// What is wrong with a text that should be of some format.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Flaw {
    /// It does not say that it is of the format.
    Foreign,
    /// It is of this later version.
    Newer(i64),
    /// It can't be read, or holds what is not known.
    Damaged {
        /// The line, counted from 1, where it is known.
        line: Option<usize>,
        /// What is wrong there.
        what: String,
    },
    /// One of a yardstick's figures can't be true.
    Figure {
        /// Which figure, as in "record 2, the band at 63 Hz, `low_db`".
        field: String,
        /// The figure.
        value: f64,
    },
    /// One of a delivery profile's limits can't be asked for.
    Limit {
        /// The line, counted from 1.
        line: usize,
        /// The figure that it asks about.
        figure: String,
        /// What is wrong with the limit.
        why: BadLimit,
    },
    /// It is larger than any of the format: of so many bytes.
    TooLarge(u64),
}

impl Flaw {
    /// What is wrong with the whole of it.
    pub(crate) fn of_all(what: impl Into<String>) -> Self {
        Self::Damaged { line: None, what: what.into() }
    }
}

impl TextFault {
    /// A stable word for the kind of fault, in kebab case.
    pub fn kind(&self) -> &'static str {
        let [foreign, newer, damaged, too_large] = self.format.kinds;
        match self.flaw {
            Flaw::Foreign => foreign,
            Flaw::Newer(_) => newer,
            Flaw::Damaged { .. } => damaged,
            Flaw::Figure { .. } => "yardstick-figure",
            Flaw::Limit { .. } => "delivery-limit",
            Flaw::TooLarge(_) => too_large,
        }
    }

    fn words(&self) -> String {
        let TextFormat { version: known, called, made, spoilt, mended, .. } = self.format;
        match &self.flaw {
            Flaw::Foreign => format!("this is not a {called}; {made}"),
            Flaw::Newer(version) => format!(
                "this {called} is of version {version}, and version {known} is the latest known here; update Candlemark"
            ),
            Flaw::Damaged { line, what } => {
                let at_line = line.map_or_else(String::new, |line| format!(" in line {line}"));
                format!("this {called} {spoilt}{at_line}: {what}; {mended}")
            }
            Flaw::Figure { field, value } => {
                format!("this {called} {spoilt}: {field} is {value}, which can't be; {mended}")
            }
            Flaw::Limit { line, figure, why } => {
                format!("in line {line} of this {called}, `{figure}`: {why}")
            }
            Flaw::TooLarge(bytes) => format!("this is too large for a {called} ({bytes} bytes); {made}"),
        }
    }
}
