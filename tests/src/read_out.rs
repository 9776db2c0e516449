//! What the meter shows, as it writes it for other programs.

use std::path::{Path, PathBuf};
use std::time::{Duration, Instant, SystemTime};
use std::{env, fs};

use anyhow::{Context as _, bail};
use candlemark_clerk::{READ_OUT_VARIABLE, ReadOut};

use crate::clap_host::Instance;

/// It is written once a second; a machine may be busy.
const PATIENCE: Duration = Duration::from_mins(1);
const TURN: Duration = Duration::from_millis(20);

/// Where the process's first instance writes it, in the folder that `CANDLEMARK_READ_OUT` names.
fn place_in(folder: &Path) -> PathBuf {
    folder.join(format!("{}-0.json", std::process::id()))
}

/// What that instance shows, as it wrote it last. `None` while it has written nothing.
///
/// # Panics
///
/// When `CANDLEMARK_READ_OUT` names no folder.
pub fn shown() -> Option<ReadOut> {
    let folder = env::var_os(READ_OUT_VARIABLE).expect("the folder is named");
    serde_json::from_slice(&fs::read(place_in(Path::new(&folder))).ok()?).ok()
}

/// What the process's only instance shows when it has taken in all that was played: twice in a row the same. `folder` is
/// the one that `CANDLEMARK_READ_OUT` names.
///
/// # Errors
///
/// Nothing that settles is written, or it can't be read.
pub fn settled(instance: &mut Instance, folder: &Path) -> anyhow::Result<ReadOut> {
    let path = place_in(folder);
    let begun = Instant::now();
    let mut before: Option<(SystemTime, ReadOut)> = None;
    while begun.elapsed() < PATIENCE {
        instance.serve_main_thread();
        std::thread::sleep(TURN);
        let Ok(written) = fs::metadata(&path).and_then(|file| file.modified()) else { continue };
        if before.as_ref().is_some_and(|(at, _)| *at == written) {
            continue;
        }
        let problem = || format!("what the meter shows can't be read from {}", path.display());
        let bytes = fs::read(&path).with_context(problem)?;
        let now: ReadOut = serde_json::from_slice(&bytes).with_context(problem)?;
        if before.is_some_and(|(_, before)| before.readings == now.readings && now.readings > 0) {
            // Each process has its own; what is read is not needed any more.
            let _ = fs::remove_file(&path);
            return Ok(now);
        }
        before = Some((written, now));
    }
    bail!("the meter has not written what it shows to {} in {} s", path.display(), PATIENCE.as_secs())
}
