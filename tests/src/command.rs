//! The built `candlemark` command, run as a person runs it.

use std::ffi::OsStr;
use std::path::Path;
use std::process::{Command, Output, Stdio};

use serde_json::Value;
use tempfile::TempDir;

use crate::paths;

/// Where the command keeps a person's yardsticks.
pub const HOME_VARIABLE: &str = "CANDLEMARK_HOME";

/// A person's folder of their own, in which the command can be run; it is removed when it is dropped.
pub struct Home(TempDir);

/// What came of a run.
pub struct Run {
    /// The exit status. `None` when a signal ended it.
    pub status: Option<i32>,
    /// All that it printed on standard output.
    pub printed: String,
    /// All that it told on standard error.
    pub told: String,
}

impl Home {
    /// An empty folder.
    #[expect(clippy::new_without_default, reason = "it makes a folder on the disk")]
    pub fn new() -> Self {
        Self(TempDir::new().expect("a temporary folder can be made"))
    }

    /// The folder: a place for a test's own files too.
    pub fn folder(&self) -> &Path {
        self.0.path()
    }

    /// The command with its arguments, not started yet.
    pub fn command<A: AsRef<OsStr>>(&self, arguments: impl IntoIterator<Item = A>) -> Command {
        command_in(self.folder(), arguments)
    }

    /// Runs the command to its end.
    pub fn run<A: AsRef<OsStr>>(&self, arguments: impl IntoIterator<Item = A>) -> Run {
        run_in(self.folder(), arguments)
    }

    /// Runs `candlemark measure --json`.
    pub fn measured<A: AsRef<OsStr>>(&self, files: impl IntoIterator<Item = A>) -> Run {
        let mut arguments = vec![OsStr::new("measure").to_owned(), OsStr::new("--json").to_owned()];
        arguments.extend(files.into_iter().map(|file| file.as_ref().to_owned()));
        self.run(arguments)
    }

    /// The same, and gives its object's `files`, whatever the exit status.
    pub fn measure<A: AsRef<OsStr>>(&self, files: impl IntoIterator<Item = A>) -> Vec<Value> {
        self.measured(files).files()
    }
}

/// The command with its arguments, not started yet, for a person whose folder this is.
pub fn command_in<A: AsRef<OsStr>>(home: &Path, arguments: impl IntoIterator<Item = A>) -> Command {
    let mut command = Command::new(paths::command());
    command.args(arguments).env(HOME_VARIABLE, home).stdin(Stdio::null());
    command
}

/// Runs the command to its end for a person whose folder this is.
pub fn run_in<A: AsRef<OsStr>>(home: &Path, arguments: impl IntoIterator<Item = A>) -> Run {
    Run::of(command_in(home, arguments).output().expect("the command can be started"))
}

impl Run {
    /// What came of a command that has ended.
    pub fn of(output: Output) -> Self {
        let text = |bytes| String::from_utf8(bytes).expect("what the command prints is UTF-8");
        Self { status: output.status.code(), printed: text(output.stdout), told: text(output.stderr) }
    }

    /// What came of it, where it ended well: with status 0 and nothing told.
    #[track_caller]
    #[must_use]
    pub fn well(self) -> Self {
        assert_eq!((self.status, self.told.as_str()), (Some(0), ""), "{}", self.printed);
        self
    }

    /// Fails unless it was refused: with status 2, nothing printed, and these words told.
    #[track_caller]
    pub fn refused(&self, parts: &[&str]) {
        assert_eq!((self.status, self.printed.as_str()), (Some(2), ""), "{}", self.told);
        for part in parts {
            assert!(self.told.contains(part), "{part:?} is not in {}", self.told);
        }
    }

    /// The one JSON object that was printed, with nothing before or after it.
    #[track_caller]
    pub fn object(&self) -> Value {
        let object: Value = serde_json::from_str(&self.printed)
            .unwrap_or_else(|error| panic!("{error}; printed: {:?}; told: {}", self.printed, self.told));
        assert!(object.is_object(), "{object}");
        object
    }

    /// The `files` of that object.
    #[track_caller]
    pub fn files(&self) -> Vec<Value> {
        self.object()["files"].as_array().expect("`files` is a list").clone()
    }
}

/// The figure at `key`, which must be a number.
#[track_caller]
pub fn figure(file: &Value, key: &str) -> f64 {
    file[key].as_f64().unwrap_or_else(|| panic!("{}: `{key}` is {}", file["path"], file[key]))
}
