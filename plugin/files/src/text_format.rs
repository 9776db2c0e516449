//! A format of text, and how a text of it begins: with the format's name and its version.

use serde::Deserialize;
use serde::de::DeserializeOwned;
use toml::Value;

use crate::text_fault::{Flaw, TextFault};

/// A format of text, and the latest version of it that can be read.
#[derive(Debug, PartialEq)]
pub(crate) struct TextFormat {
    /// What the file's `format` must be.
    pub(crate) name: &'static str,
    /// The latest version that is known.
    pub(crate) version: i64,
    /// What a person calls it.
    pub(crate) called: &'static str,
    /// What makes one.
    pub(crate) made: &'static str,
    /// That one can't be read, and what to do then.
    pub(crate) spoilt: &'static str,
    pub(crate) mended: &'static str,
    /// Words for a program: foreign, newer, damaged, too large.
    pub(crate) kinds: [&'static str; 4],
}

/// Only what tells whether, and how, the rest is to be read.
#[derive(Deserialize)]
struct Heading {
    format: Option<Value>,
    version: Option<Value>,
}

impl TextFormat {
    /// What a text of this format, and of a version that can be read, holds.
    pub(crate) fn read<T: DeserializeOwned>(&'static self, text: &str) -> Result<T, TextFault> {
        self.check(text)
            .and_then(|()| toml::from_str(text).map_err(|error| damaged(text, &error)))
            .map_err(|flaw| self.fault(flaw))
    }

    /// That this is wrong with a text which should be of this format.
    pub(crate) fn fault(&'static self, flaw: Flaw) -> TextFault {
        TextFault { format: self, flaw }
    }

    /// Whether `text` is of this format and of a version that can be read.
    fn check(&self, text: &str) -> Result<(), Flaw> {
        let heading: Heading = toml::from_str(text).map_err(|error| {
            // Without its heading it could be any text.
            if text.contains(self.name) { damaged(text, &error) } else { Flaw::Foreign }
        })?;
        if heading.format.as_ref().and_then(Value::as_str) != Some(self.name) {
            return Err(Flaw::Foreign);
        }
        let known = self.version;
        match heading.version.as_ref().and_then(Value::as_integer) {
            Some(version) if version > known => Err(Flaw::Newer(version)),
            Some(version) if version == known => Ok(()),
            _ => Err(Flaw::of_all(format!("its `version` is not a version; write `version = {known}`"))),
        }
    }

    /// What is wrong with bytes of which only `before` is text.
    pub(crate) fn not_text(&self, before: &str) -> Flaw {
        if before.contains(self.name) {
            let line = Some(line_of(before, before.len()));
            Flaw::Damaged { line, what: "there is something that is not text".to_owned() }
        } else {
            Flaw::Foreign
        }
    }
}

/// What the reader of TOML found in `text`.
fn damaged(text: &str, error: &toml::de::Error) -> Flaw {
    Flaw::Damaged { line: error.span().map(|span| line_of(text, span.start)), what: in_a_line(error) }
}

/// What the reader of TOML says, which may have line breaks.
pub(crate) fn in_a_line(error: &toml::de::Error) -> String {
    error.message().replace('\n', " ")
}

/// Number of the line, from 1, in which byte `at` lies.
pub(crate) fn line_of(text: &str, at: usize) -> usize {
    1 + text.as_bytes().iter().take(at).filter(|&&byte| byte == b'\n').count()
}

/// Texts to test with.
#[cfg(test)]
pub(crate) mod samples {
    use proptest::prelude::*;
    use proptest::sample::Index;

    /// The text with bytes changed and its end cut off.
    pub(crate) fn spoilt(text: String) -> impl Strategy<Value = String> {
        let changes = prop::collection::vec((any::<Index>(), any::<u8>()), 0..6);
        (changes, any::<Index>()).prop_map(move |(changes, cut)| {
            let mut bytes = text.clone().into_bytes();
            for (at, value) in changes {
                let at = at.index(bytes.len());
                bytes[at] = value;
            }
            bytes.truncate(cut.index(bytes.len() + 1));
            String::from_utf8_lossy(&bytes).into_owned()
        })
    }
}
