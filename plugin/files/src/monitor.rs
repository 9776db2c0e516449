//! The monitor marks of a room: in a file of their own, for they are the same whatever the project.

use std::fs::File;
use std::io::{ErrorKind, Read, Write};
use std::path::{Path, PathBuf};

use candlemark_session::chair::{Knob, Marks, MonitorMark};
use serde::{Deserialize, Serialize};
use thiserror::Error;

use crate::error::FileError;
use crate::home;

/// The format that is written.
const FORMAT: u32 = 1;
/// The file takes some 300 bytes; what is larger is none of ours (ours).
const MOST_BYTES: u64 = 64 << 10;

/// The file, as it is written.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Written {
    candlemark_monitor: u32,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    quiet: Option<MonitorMark>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    normal: Option<MonitorMark>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    loud: Option<MonitorMark>,
}

/// Its format alone, of whatever else it holds.
#[derive(Deserialize)]
struct Format {
    candlemark_monitor: u32,
}

/// What is wrong with the marks' file. `Display` says what, where and what to do.
#[derive(Debug, Error)]
#[non_exhaustive]
pub enum MonitorError {
    /// It can't be read.
    #[error("{}: it can't be read ({source}); see to its permissions, or mark your monitors again", path.display())]
    NotReadable {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// It can't be written.
    #[error("{}: it can't be written ({source}); make room or see to its permissions: the mark holds until the host closes", path.display())]
    NotWritable {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// It is of a newer format.
    #[error("{}: a newer Candlemark has written it; it is left as it is, and your monitors count as not marked", path.display())]
    Newer {
        /// The file.
        path: PathBuf,
    },
    /// It is damaged, or none.
    #[error("{}: {what}; move it elsewhere, and mark your monitors again", path.display())]
    Damaged {
        /// The file.
        path: PathBuf,
        /// What is wrong with it.
        what: String,
    },
}

/// Where the marks are kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MonitorFile {
    path: PathBuf,
}

impl MonitorFile {
    /// The user's: `monitor.toml` in the folder that `CANDLEMARK_HOME` names; without that, in `candlemark` in the system's
    /// folder for a user's data. It need not exist yet.
    ///
    /// # Errors
    ///
    /// When the system does not say where the user's data lives.
    pub fn of_user() -> Result<Self, FileError> {
        Ok(Self::at(home::of_user()?.join("monitor.toml")))
    }

    /// That file.
    pub fn at(path: impl Into<PathBuf>) -> Self {
        Self { path: path.into() }
    }

    /// Where it is.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// The marks; none where there is no file.
    ///
    /// # Errors
    ///
    /// When the file can't be read, is damaged, or is of a newer format.
    pub fn load(&self) -> Result<Marks, MonitorError> {
        let reading = |source| MonitorError::NotReadable { path: self.path.clone(), source };
        let file = match File::open(&self.path) {
            Err(error) if error.kind() == ErrorKind::NotFound => return Ok(Marks::default()),
            file => file.map_err(reading)?,
        };
        let mut bytes = Vec::new();
        file.take(MOST_BYTES + 1).read_to_end(&mut bytes).map_err(reading)?;
        let damaged = |what: &str| MonitorError::Damaged { path: self.path.clone(), what: what.to_owned() };
        if bytes.len() as u64 > MOST_BYTES {
            return Err(damaged("this is too large for monitor marks"));
        }
        let text = String::from_utf8(bytes).map_err(|_| damaged("there is something that is not text"))?;
        if toml::from_str::<Format>(&text).is_ok_and(|format| format.candlemark_monitor > FORMAT) {
            return Err(MonitorError::Newer { path: self.path.clone() });
        }
        let written: Written = toml::from_str(&text).map_err(|error| damaged(error.message()))?;
        let checked = |mark: Option<MonitorMark>| match mark {
            Some(MonitorMark { read_dba, noise_db }) => match MonitorMark::new(read_dba, noise_db) {
                None => Err(damaged("a reading in it is none that a sound-level meter shows")),
                mark => Ok(mark),
            },
            None => Ok(None),
        };
        let mut marks = Marks::default();
        for (knob, mark) in Knob::ALL.into_iter().zip([written.quiet, written.normal, written.loud]) {
            marks.put(knob, checked(mark)?);
        }
        Ok(marks)
    }

    /// Keeps the marks, whole or not at all.
    ///
    /// # Errors
    ///
    /// When the file can't be written.
    pub fn save(&self, marks: Marks) -> Result<(), MonitorError> {
        let writing = |source| MonitorError::NotWritable { path: self.path.clone(), source };
        let folder = self.path.parent().unwrap_or(Path::new("."));
        std::fs::create_dir_all(folder).map_err(writing)?;
        let Marks { quiet, normal, loud } = marks;
        let written = Written { candlemark_monitor: FORMAT, quiet, normal, loud };
        let text = toml::to_string(&written).map_err(|error| writing(std::io::Error::other(error)))?;
        let mut file =
            tempfile::Builder::new().prefix(".new-").suffix(".tmp").tempfile_in(folder).map_err(writing)?;
        file.write_all(text.as_bytes()).map_err(writing)?;
        file.as_file().sync_all().map_err(writing)?;
        file.persist(&self.path).map_err(|error| writing(error.error))?;
        Ok(())
    }
}

#[cfg(test)]
mod tests;
