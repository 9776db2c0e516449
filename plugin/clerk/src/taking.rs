//! Taking a yardstick from files, on a thread of its own: minutes may pass.

use std::ops::ControlFlow;
use std::path::PathBuf;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread::{self, JoinHandle};

use candlemark_files::{FileError, take};
use candlemark_session::taking::Progress;
use candlemark_session::yardstick::Yardstick;

/// A yardstick that is being taken. Dropped, it is broken off.
pub(crate) struct Taking {
    name: String,
    shared: Arc<Shared>,
    /// Ends with the block of sound that it reads when it is broken off. `None` where the system gave no thread, and when
    /// it has been looked at what came of it.
    thread: Option<JoinHandle<Result<Yardstick, Vec<FileError>>>>,
}

/// What the thread and the clerk both know.
struct Shared {
    /// How far each file is.
    shares: Mutex<Vec<f64>>,
    stopped: AtomicBool,
}

impl Shared {
    fn tell(&self, file: usize, share: f64) -> ControlFlow<()> {
        if let Some(told) = self.shares.lock().unwrap_or_else(PoisonError::into_inner).get_mut(file) {
            *told = share;
        }
        if self.stopped.load(Ordering::Relaxed) { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
    }
}

impl Taking {
    /// Begins.
    pub(crate) fn begin(name: String, files: Vec<PathBuf>) -> Self {
        let shares = Mutex::new(vec![0.0; files.len()]);
        let shared = Arc::new(Shared { shares, stopped: AtomicBool::new(false) });
        let (theirs, called) = (Arc::clone(&shared), name.clone());
        // Without a thread nothing comes of it, which is told as a thread that has failed.
        let thread = thread::Builder::new()
            .name("candlemark taking".into())
            .spawn(move || take(&called, &files, &|file, share| theirs.tell(file, share)));
        Self { name, shared, thread: thread.ok() }
    }

    pub(crate) fn progress(&self) -> Progress {
        let shares = self.shared.shares.lock().unwrap_or_else(PoisonError::into_inner);
        let share = shares.iter().sum::<f64>() / shares.len().max(1) as f64;
        Progress { name: self.name.clone(), files: shares.len(), share, input_s: None }
    }

    /// What has come of it, or what speaks against it in one line. `None` while it goes on.
    pub(crate) fn look(&mut self) -> Option<Result<Yardstick, String>> {
        if self.thread.as_ref().is_some_and(|thread| !thread.is_finished()) {
            return None;
        }
        Some(match self.thread.take().map(JoinHandle::join) {
            Some(Ok(taken)) => taken.map_err(|troubles| told(&self.name, &troubles)),
            Some(Err(_)) | None => Err(format!("Taking \"{}\" has failed. Try it again.", self.name)),
        })
    }
}

impl Drop for Taking {
    fn drop(&mut self) {
        self.shared.stopped.store(true, Ordering::Relaxed);
        if let Some(thread) = self.thread.take() {
            // It has nothing to say that its end does not.
            let _ = thread.join();
        }
    }
}

/// The first thing that is wrong, and how many more there are: a window has a line for it.
fn told(name: &str, troubles: &[FileError]) -> String {
    let first = troubles.first().map_or_else(|| "nothing was named".to_owned(), ToString::to_string);
    let more = match troubles.len() {
        0 | 1 => String::new(),
        count => format!(" (and {} more)", count - 1),
    };
    format!("“{name}” was not taken: {first}{more}")
}
