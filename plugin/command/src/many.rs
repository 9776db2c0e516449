//! Measuring several files, and saying how far it is.

use std::ops::ControlFlow;
use std::path::Path;
use std::sync::{Mutex, PoisonError};
use std::time::Duration;

use candlemark_files::{FileError, Measured};
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

/// Work shorter than this shows no progress.
const PATIENCE: Duration = Duration::from_secs(1);
/// Steps of the progress bar for each file.
const STEPS: f64 = 1000.0;

/// Measures every file, with a bar. The results come in the files' order.
pub(crate) fn measure_all<P: AsRef<Path> + Sync>(files: &[P]) -> Vec<Result<Measured, FileError>> {
    let progress = Progress::new(files.len());
    candlemark_files::measure_all(files, &|file, share| progress.tell(file, share))
}

/// All that is wrong with a file.
pub(crate) fn troubles(result: &Result<Measured, FileError>) -> &[FileError] {
    result.as_ref().map_or_else(std::slice::from_ref, |measured| &measured.troubles)
}

/// One bar over all files, on a terminal, once the work has taken a second. It goes away with this.
pub(crate) struct Progress {
    bar: ProgressBar,
    /// How far each file is.
    shares: Mutex<Vec<f64>>,
}

impl Progress {
    pub(crate) fn new(files: usize) -> Self {
        let length = (files as f64 * STEPS) as u64;
        let bar = ProgressBar::with_draw_target(Some(length), ProgressDrawTarget::hidden());
        if let Ok(style) = ProgressStyle::with_template("  measuring {msg}  {bar:30}  {eta} left") {
            bar.set_style(style.progress_chars("━━ "));
        }
        Self { bar, shares: Mutex::new(vec![0.0; files]) }
    }

    /// A file has been read so far.
    pub(crate) fn tell(&self, file: usize, share: f64) -> ControlFlow<()> {
        let mut shares = self.shares.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(told) = shares.get_mut(file) {
            *told = share;
        }
        self.bar.set_position((shares.iter().sum::<f64>() * STEPS) as u64);
        if self.bar.is_hidden() && self.bar.elapsed() > PATIENCE {
            self.bar.set_draw_target(ProgressDrawTarget::stderr());
        }
        if shares.len() > 1 {
            let done = shares.iter().filter(|share| **share == 1.0).count();
            self.bar.set_message(format!("{done} of {}", shares.len()));
        }
        ControlFlow::Continue(())
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        self.bar.finish_and_clear();
    }
}
