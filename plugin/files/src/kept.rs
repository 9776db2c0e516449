//! What is the same whatever the project, each in a file of its own: the monitor marks, and the room.

use std::io::ErrorKind;
use std::marker::PhantomData;
use std::path::{Path, PathBuf};

use candlemark_session::chair::{Knob, Marks, MonitorMark};
use candlemark_session::room::Room;
use serde::Serialize;
use serde::de::DeserializeOwned;
use thiserror::Error;

use crate::error::FileError;
use crate::home;
use crate::small_text::{NoText, small_text};
use crate::text_format::in_a_line;
use crate::written::{Replace, folder_of, write_whole};

/// The format that is written.
const FORMAT: i64 = 1;
/// Such a file takes some 300 bytes; what is larger is none of ours (ours).
const MOST_BYTES: u64 = 64 << 10;

/// What is kept so.
pub trait Keepable: Serialize + DeserializeOwned {
    /// Its file, without its ending.
    const NAME: &'static str;
    /// What to do where it can't be read.
    const AGAIN: &'static str;

    /// Whether it can be.
    ///
    /// # Errors
    ///
    /// What is wrong with it, in words.
    fn check(&self) -> Result<(), String>;
}

impl Keepable for Marks {
    const NAME: &'static str = "monitor";
    const AGAIN: &'static str = "mark your monitors again";

    fn check(&self) -> Result<(), String> {
        let is_one = |mark: MonitorMark| MonitorMark::new(mark.read_dba, mark.noise_db).is_some();
        let all = Knob::ALL.into_iter().filter_map(|knob| self.of(knob)).all(is_one);
        if all { Ok(()) } else { Err("a reading in it is none that a sound-level meter shows".to_owned()) }
    }
}

impl Keepable for Room {
    const NAME: &'static str = "room";
    const AGAIN: &'static str = "tell the room again, with candlemark room and --keep";

    fn check(&self) -> Result<(), String> {
        Room::check(self).map_err(|error| error.to_string())
    }
}

/// What is wrong with such a file. `Display` says what, where and what to do.
#[derive(Debug, Error)]
#[error("{}: {what}", path.display())]
pub struct KeptError {
    path: PathBuf,
    what: String,
}

/// Where something is kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KeptFile<T> {
    path: PathBuf,
    of: PhantomData<T>,
}

impl<T: Keepable> KeptFile<T> {
    /// The user's: in the folder that `CANDLEMARK_HOME` names; without that, in `candlemark` in the system's folder for a
    /// user's data. It need not exist yet.
    ///
    /// # Errors
    ///
    /// When the system does not say where the user's data lives.
    pub fn of_user() -> Result<Self, FileError> {
        Ok(Self::at(home::of_user()?.join(format!("{}.toml", T::NAME))))
    }

    /// That file.
    pub fn at(path: impl Into<PathBuf>) -> Self {
        Self { path: path.into(), of: PhantomData }
    }

    /// Where it is.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// What is kept. `None` where there is no file.
    ///
    /// # Errors
    ///
    /// When the file can't be read, is damaged, or is of a newer format.
    pub fn load(&self) -> Result<Option<T>, KeptError> {
        let again = T::AGAIN;
        let reading = |error: std::io::Error| {
            self.error(format!("it can't be read ({error}); see to its permissions, or {again}"))
        };
        let damaged = |what: &str| self.error(format!("{what}; move it elsewhere, and {again}"));
        let text = match small_text(&self.path, MOST_BYTES) {
            Err(NoText::System(error)) if error.kind() == ErrorKind::NotFound => return Ok(None),
            Err(NoText::System(error)) => return Err(reading(error)),
            Err(NoText::Folder) => return Err(reading(ErrorKind::IsADirectory.into())),
            Err(NoText::NotAFile) => return Err(damaged("it is a device, not a file")),
            Err(NoText::TooLarge { .. }) => return Err(damaged("this is too large to be ours")),
            Err(NoText::NotText { .. }) => return Err(damaged("there is something that is not text")),
            Ok(text) => text,
        };
        let mut table: toml::Table = toml::from_str(&text).map_err(|error| damaged(&in_a_line(&error)))?;
        match table.remove(&key::<T>()).and_then(|format| format.as_integer()) {
            Some(FORMAT) => {}
            Some(_) => {
                let what =
                    "a newer Candlemark has written it; it is left as it is, and nothing of it counts here";
                return Err(self.error(what));
            }
            None => return Err(damaged(&format!("it does not say {} = {FORMAT}", key::<T>()))),
        }
        let kept: T = table.try_into().map_err(|error| damaged(&in_a_line(&error)))?;
        kept.check().map_err(|what| damaged(&what))?;
        Ok(Some(kept))
    }

    fn error(&self, what: impl Into<String>) -> KeptError {
        KeptError { path: self.path.clone(), what: what.into() }
    }

    /// Keeps it, whole or not at all.
    ///
    /// # Errors
    ///
    /// When the file can't be written.
    pub fn save(&self, kept: &T) -> Result<(), KeptError> {
        let writing = |error: std::io::Error| {
            let again = T::AGAIN;
            self.error(format!(
                "it can't be written ({error}); make room or see to its permissions, and then {again}"
            ))
        };
        std::fs::create_dir_all(folder_of(&self.path)).map_err(writing)?;
        let text = toml::to_string(kept).map_err(|error| writing(std::io::Error::other(error)))?;
        // Its own keys come before tables.
        let text = format!("{} = {FORMAT}\n{text}", key::<T>());
        write_whole(&self.path, text.as_bytes(), Replace::WhatIsThere).map_err(writing)
    }
}

/// The key that says the format.
fn key<T: Keepable>() -> String {
    format!("candlemark_{}", T::NAME)
}

#[cfg(test)]
mod tests;
