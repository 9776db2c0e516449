//! Measuring several files at once.

use std::ops::ControlFlow;
use std::path::Path;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};
use std::thread;

use crate::{FileError, Measured, measure_while};

/// Measures every file, on as many cores as there are. The results come in the files' order. `progress` is told, on the
/// thread that measures it, which file has been read how far, 0 to 1, and lastly 1; it can break the file off.
pub fn measure_all<P: AsRef<Path> + Sync>(
    files: &[P],
    progress: &(impl Fn(usize, f64) -> ControlFlow<()> + Sync),
) -> Vec<Result<Measured, FileError>> {
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
                    let result = measure_while(file.as_ref(), |share| progress(number, share));
                    // There is nothing left to break off.
                    let _ = progress(number, 1.0);
                    *slot.lock().unwrap_or_else(PoisonError::into_inner) = Some(result);
                }
            });
        }
    });
    results.into_iter().filter_map(|slot| slot.into_inner().unwrap_or_else(PoisonError::into_inner)).collect()
}
