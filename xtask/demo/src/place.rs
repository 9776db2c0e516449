//! Where the demo keeps what it makes, and where the plugin is.

use std::env;
use std::path::{Path, PathBuf};
use std::process::{Command, ExitCode};

use anyhow::{Context as _, bail};
use candlemark_clerk::READ_OUT_VARIABLE;
use candlemark_files::Shelf;
use candlemark_tests::command::HOME_VARIABLE;
use candlemark_tests::paths::{self, CLAP_VARIABLE};

use crate::arguments::Arguments;

/// Marks the process in which the plugin is told where to write.
const INSIDE: &str = "CANDLEMARK_DEMO_INSIDE";

/// The demo's own folders and files.
pub struct Place {
    pub(crate) folder: PathBuf,
}

impl Place {
    /// In this folder, or in `target/demo`.
    ///
    /// # Errors
    ///
    /// The folders can't be made.
    pub fn of(into: Option<&Path>) -> anyhow::Result<Self> {
        let folder = into.map_or_else(|| paths::target().join("demo"), Path::to_path_buf);
        let place = Self { folder };
        for folder in [&place.folder, &place.read_outs()] {
            std::fs::create_dir_all(folder).with_context(|| format!("can't make {}", folder.display()))?;
        }
        Ok(place)
    }

    pub(crate) fn picture(&self) -> PathBuf {
        self.folder.join("candlemark.png")
    }

    /// Where the plugin writes what it shows.
    pub(crate) fn read_outs(&self) -> PathBuf {
        self.folder.join("read-out")
    }

    /// A shelf of the demo's own: a person's is theirs.
    fn home(&self) -> PathBuf {
        self.folder.join("home")
    }

    pub(crate) fn shelf(&self) -> Shelf {
        Shelf::at(self.home().join("yardsticks"))
    }

    /// Runs the demo once more, in a process whose environment tells the plugin where to write and where its shelf is.
    /// `None` when this is that process.
    ///
    /// # Errors
    ///
    /// The plugin has not been built, or the process can't be started.
    pub fn in_a_process_of_its_own(&self, arguments: &Arguments) -> anyhow::Result<Option<ExitCode>> {
        if env::var_os(INSIDE).is_some() {
            return Ok(None);
        }
        let mut again = Command::new(env::current_exe().context("the demo does not know its own file")?);
        again
            .args(env::args_os().skip(1))
            .env(INSIDE, "1")
            .env(CLAP_VARIABLE, built_plugin()?)
            .env(READ_OUT_VARIABLE, self.read_outs());
        if arguments.file.is_none() {
            again.env(HOME_VARIABLE, self.home());
        }
        let status = again.status().context("the demo can't start itself")?;
        let code = status.code().and_then(|code| u8::try_from(code).ok());
        Ok(Some(code.map_or(ExitCode::FAILURE, ExitCode::from)))
    }
}

fn built_plugin() -> anyhow::Result<PathBuf> {
    let plugin = env::var_os(CLAP_VARIABLE)
        .map_or_else(|| paths::target().join("bundled-debug/Candlemark.clap"), PathBuf::from);
    if !plugin.exists() {
        bail!("the plugin is not at {}; `cargo xtask demo` builds it and runs this", plugin.display());
    }
    Ok(plugin)
}
