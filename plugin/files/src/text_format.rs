//! How a yardstick's and a delivery profile's text begins: with the name of its format and its version.

use serde::Deserialize;
use toml::Value;

/// A format of text, and the latest version of it that can be read.
#[derive(Clone, Copy, Debug)]
pub(crate) struct TextFormat {
    /// What the file's `format` must be.
    pub(crate) name: &'static str,
    /// The latest version that is known.
    pub(crate) version: i64,
}

/// What can be wrong with a text of any format.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum TextFault {
    /// It does not say that it is of the format.
    Foreign,
    /// It is of a later version.
    Newer {
        /// Its version.
        version: i64,
        /// The latest that is known.
        known: i64,
    },
    /// It can't be read.
    Damaged {
        /// The line, counted from 1, where it is known.
        line: Option<usize>,
        /// What is wrong there.
        what: String,
    },
    /// It is larger than any of the format.
    TooLarge {
        /// Its size in bytes.
        bytes: u64,
    },
}

/// Only what tells whether, and how, the rest is to be read.
#[derive(Deserialize)]
struct Heading {
    format: Option<Value>,
    version: Option<Value>,
}

impl TextFormat {
    /// Whether `text` is of this format and of a version that can be read.
    pub(crate) fn check(self, text: &str) -> Result<(), TextFault> {
        let heading: Heading = toml::from_str(text).map_err(|error| {
            // Without its heading it could be any text.
            if text.contains(self.name) { TextFault::of_toml(text, &error) } else { TextFault::Foreign }
        })?;
        if heading.format.as_ref().and_then(Value::as_str) != Some(self.name) {
            return Err(TextFault::Foreign);
        }
        let known = self.version;
        match heading.version.as_ref().and_then(Value::as_integer) {
            Some(version) if version > known => Err(TextFault::Newer { version, known }),
            Some(version) if version == known => Ok(()),
            _ => Err(TextFault::flaw(&format!("its `version` is not a version; write `version = {known}`"))),
        }
    }

    /// The fault of bytes of which only `before` is text.
    pub(crate) fn not_text(self, before: &str) -> TextFault {
        if before.contains(self.name) {
            let line = Some(line_of(before, before.len()));
            TextFault::Damaged { line, what: "there is something that is not text".to_owned() }
        } else {
            TextFault::Foreign
        }
    }
}

impl TextFault {
    /// What the reader of TOML found in `text`.
    pub(crate) fn of_toml(text: &str, error: &toml::de::Error) -> Self {
        Self::Damaged {
            line: error.span().map(|span| line_of(text, span.start)),
            what: error.message().replace('\n', " "),
        }
    }

    /// What is wrong with the whole of it.
    pub(crate) fn flaw(what: &str) -> Self {
        Self::Damaged { line: None, what: what.to_owned() }
    }
}

/// Number of the line, from 1, in which byte `at` lies.
pub(crate) fn line_of(text: &str, at: usize) -> usize {
    1 + text.as_bytes().iter().take(at).filter(|&&byte| byte == b'\n').count()
}
