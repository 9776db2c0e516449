//! Measures several files at once, and says how far it is.

use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};
use std::thread;
use std::time::{Duration, Instant};

use candlemark_files::{FileError, Measured, measure};
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

/// Work shorter than this shows no progress.
const PATIENCE: Duration = Duration::from_secs(1);
/// Steps of the progress bar for each file.
const STEPS: u64 = 1000;

/// Measures every file, on as many cores as there are. The results come in the files' order.
pub(crate) fn measure_all(files: &[PathBuf]) -> Vec<Result<Measured, FileError>> {
    let progress = Progress::new(files.len());
    let next = AtomicUsize::new(0);
    let results: Vec<Mutex<Option<Result<Measured, FileError>>>> =
        files.iter().map(|_| Mutex::new(None)).collect();
    let workers = thread::available_parallelism().map_or(1, usize::from).min(files.len());
    thread::scope(|scope| {
        for _ in 0..workers {
            scope.spawn(|| {
                loop {
                    let number = next.fetch_add(1, Ordering::Relaxed);
                    let Some((file, slot)) = files.get(number).zip(results.get(number)) else { break };
                    let result = progress.watch(file);
                    *slot.lock().unwrap_or_else(PoisonError::into_inner) = Some(result);
                }
            });
        }
    });
    progress.bar.finish_and_clear();
    results.into_iter().filter_map(|slot| slot.into_inner().unwrap_or_else(PoisonError::into_inner)).collect()
}

/// One bar over all files, on a terminal, once the work has taken a second.
struct Progress {
    bar: ProgressBar,
    begun: Instant,
    done: AtomicUsize,
    files: usize,
}

impl Progress {
    fn new(files: usize) -> Self {
        let bar = ProgressBar::with_draw_target(Some(files as u64 * STEPS), ProgressDrawTarget::hidden());
        if let Ok(style) = ProgressStyle::with_template("  measuring {msg}  {bar:30}  {eta} left") {
            bar.set_style(style.progress_chars("━━ "));
        }
        Self { bar, begun: Instant::now(), done: AtomicUsize::new(0), files }
    }

    fn watch(&self, file: &Path) -> Result<Measured, FileError> {
        let mut told = 0;
        let result = measure(file, |share| {
            let steps = (share * STEPS as f64) as u64;
            self.bar.inc(steps.saturating_sub(told));
            told = told.max(steps);
            if self.bar.is_hidden() && self.begun.elapsed() > PATIENCE {
                self.bar.set_draw_target(ProgressDrawTarget::stderr());
                self.name_files();
            }
        });
        self.bar.inc(STEPS.saturating_sub(told));
        self.done.fetch_add(1, Ordering::Relaxed);
        self.name_files();
        result
    }

    fn name_files(&self) {
        if self.files > 1 {
            self.bar.set_message(format!("{} of {}", self.done.load(Ordering::Relaxed), self.files));
        }
    }
}
