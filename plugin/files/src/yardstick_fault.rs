//! What can be wrong with the text of a yardstick.

use thiserror::Error;

use crate::error::at_line;
use crate::text_format::TextFault;

/// What is wrong with the text of a yardstick.
#[derive(Clone, Debug, PartialEq, Error)]
#[non_exhaustive]
pub enum YardstickFault {
    /// It does not say that it is a yardstick.
    #[error("this is not a yardstick; `candlemark yardstick take` makes one")]
    Foreign,
    /// It was written by a later version.
    #[error(
        "this yardstick is of version {version}, and version {known} is the latest known here; update Candlemark"
    )]
    Newer {
        /// Its version.
        version: i64,
        /// The latest version that can be read.
        known: i64,
    },
    /// Its text is damaged.
    #[error("this yardstick is damaged{}: {what}; restore it from a copy, or take it anew", at_line(*line))]
    Damaged {
        /// The line, counted from 1, where it is known.
        line: Option<usize>,
        /// What is wrong there.
        what: String,
    },
    /// One of its figures can't be true.
    #[error(
        "this yardstick is damaged: {field} is {value}, which can't be; restore it from a copy, or take it anew"
    )]
    Figure {
        /// Which figure, as in "record 2, the band at 63 Hz, `low_db`".
        field: String,
        /// The figure.
        value: f64,
    },
    /// It is larger than any yardstick.
    #[error("this is too large for a yardstick ({bytes} bytes); `candlemark yardstick take` makes one")]
    TooLarge {
        /// Its size in bytes.
        bytes: u64,
    },
}

impl YardstickFault {
    /// A stable word for the kind of fault, in kebab case.
    pub fn kind(&self) -> &'static str {
        match self {
            Self::Foreign => "yardstick-foreign",
            Self::Newer { .. } => "yardstick-newer",
            Self::Damaged { .. } => "yardstick-damaged",
            Self::Figure { .. } => "yardstick-figure",
            Self::TooLarge { .. } => "yardstick-too-large",
        }
    }
}

impl From<TextFault> for YardstickFault {
    fn from(fault: TextFault) -> Self {
        match fault {
            TextFault::Foreign => Self::Foreign,
            TextFault::Newer { version, known } => Self::Newer { version, known },
            TextFault::Damaged { line, what } => Self::Damaged { line, what },
            TextFault::TooLarge { bytes } => Self::TooLarge { bytes },
        }
    }
}
