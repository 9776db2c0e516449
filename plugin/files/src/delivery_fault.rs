//! What can be wrong with the text of a delivery profile.

use candlemark_session::delivery::BadLimit;
use thiserror::Error;

use crate::error::at_line;
use crate::text_format::TextFault;

/// What is wrong with the text of a delivery profile.
#[derive(Clone, Debug, PartialEq, Error)]
#[non_exhaustive]
pub enum DeliveryFault {
    /// It does not say that it is one.
    #[error("this is not a delivery profile; `candlemark delivery show ebu-r128` prints one to begin with")]
    Foreign,
    /// It was written for a later version.
    #[error(
        "this delivery profile is of version {version}, and version {known} is the latest known here; update Candlemark"
    )]
    Newer {
        /// Its version.
        version: i64,
        /// The latest version that can be read.
        known: i64,
    },
    /// Its text can't be read, or holds something that is not known.
    #[error("this delivery profile can't be used{}: {what}; mend that line", at_line(*line))]
    Damaged {
        /// The line, counted from 1, where it is known.
        line: Option<usize>,
        /// What is wrong there.
        what: String,
    },
    /// One of its limits can't be asked for.
    #[error("in line {line} of this delivery profile, `{figure}`: {why}")]
    Limit {
        /// The line, counted from 1.
        line: usize,
        /// The figure that it asks about.
        figure: String,
        /// What is wrong with the limit.
        why: BadLimit,
    },
    /// It is larger than any delivery profile.
    #[error(
        "this is too large for a delivery profile ({bytes} bytes); `candlemark delivery show ebu-r128` prints one to \
         begin with"
    )]
    TooLarge {
        /// Its size in bytes.
        bytes: u64,
    },
}

impl DeliveryFault {
    /// A stable word for the kind of fault, in kebab case.
    pub fn kind(&self) -> &'static str {
        match self {
            Self::Foreign => "delivery-foreign",
            Self::Newer { .. } => "delivery-newer",
            Self::Damaged { .. } => "delivery-damaged",
            Self::Limit { .. } => "delivery-limit",
            Self::TooLarge { .. } => "delivery-too-large",
        }
    }
}

impl From<TextFault> for DeliveryFault {
    fn from(fault: TextFault) -> Self {
        match fault {
            TextFault::Foreign => Self::Foreign,
            TextFault::Newer { version, known } => Self::Newer { version, known },
            TextFault::Damaged { line, what } => Self::Damaged { line, what },
            TextFault::TooLarge { bytes } => Self::TooLarge { bytes },
        }
    }
}
