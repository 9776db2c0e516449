//! The read-out: what the meter shows, as a file for other programs.
//!
//! Where the environment variable `CANDLEMARK_READ_OUT` names a folder, each instance writes what it shows into a file of
//! its own there, once a second: `<process>-<instance>.json`, whole at any moment.

use std::fs;
use std::io::Write;
use std::path::PathBuf;
use std::sync::atomic::{AtomicU32, Ordering};
use std::time::{Duration, Instant};

use candlemark_session::view::View;
use serde::{Deserialize, Serialize};

/// Names the folder for read-outs.
pub const READ_OUT_VARIABLE: &str = "CANDLEMARK_READ_OUT";

/// How often it is written.
const EVERY: Duration = Duration::from_secs(1);

/// What one instance shows at a moment.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct ReadOut {
    /// Version of the plugin that wrote it.
    pub candlemark: String,
    /// Readings (of 100 ms each, or less where a pass begins or ends) that it stands on, since the instance was made.
    pub readings: u64,
    /// Name of the yardstick in use.
    pub yardstick: Option<String>,
    /// Sound comes faster than time, or the host says that it renders offline.
    pub offline: bool,
    /// What there is to show.
    pub view: View,
}

/// Where one instance writes.
pub(crate) struct Outlet {
    path: PathBuf,
    written_at: Option<Instant>,
}

impl Outlet {
    /// The outlet of a new instance. `None` where nobody asks for one.
    pub(crate) fn of_instance() -> Option<Self> {
        static INSTANCES: AtomicU32 = AtomicU32::new(0);
        let folder = PathBuf::from(std::env::var_os(READ_OUT_VARIABLE)?);
        let instance = INSTANCES.fetch_add(1, Ordering::Relaxed);
        Some(Self { path: folder.join(format!("{}-{instance}.json", std::process::id())), written_at: None })
    }

    /// Whether it is time to write: once a second, whether there is anything new or not.
    pub(crate) fn is_due(&mut self, now: Instant) -> bool {
        let is_due = self.written_at.is_none_or(|at| now.saturating_duration_since(at) >= EVERY);
        if is_due {
            self.written_at = Some(now);
        }
        is_due
    }

    /// Writes it beside its place, and moves it there. What can't be written is left: the meter itself goes on.
    pub(crate) fn write(&self, read_out: &ReadOut) {
        let new = self.path.with_extension("new");
        let written = serde_json::to_vec(read_out)
            .map_err(std::io::Error::from)
            .and_then(|bytes| fs::File::create(&new)?.write_all(&bytes))
            .and_then(|()| fs::rename(&new, &self.path));
        if written.is_err() {
            let _ = fs::remove_file(&new);
        }
    }
}
