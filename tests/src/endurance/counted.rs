//! What was played, and what it took of the machine.

use std::fmt::{self, Display, Formatter};
use std::fs;

use super::stint::Step;

/// What the process takes of the machine now.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Taken {
    /// Resident memory in KiB: `VmRSS` of `proc_pid_status(5)`.
    pub(crate) kib: f64,
    /// Open files.
    pub(crate) files: usize,
}

impl Taken {
    pub(crate) fn now() -> Self {
        let status = fs::read_to_string("/proc/self/status").expect("the system tells of its processes");
        let line = status.lines().find_map(|line| line.strip_prefix("VmRSS:"));
        let kib = line.expect("it tells of its memory").trim().trim_end_matches(" kB").parse();
        let files = fs::read_dir("/proc/self/fd").expect("it tells of open files").count();
        Self { kib: kib.expect("it is a number"), files }
    }
}

/// A count of everything.
#[derive(Default)]
pub(crate) struct Counted {
    /// Of sound.
    pub(crate) seconds: f64,
    pub(crate) stints: usize,
    pub(crate) blocks: usize,
    pub(crate) changes: usize,
    pub(crate) activations: usize,
    pub(crate) instances: usize,
    pub(crate) openings: usize,
    pub(crate) saved: usize,
    pub(crate) loaded: usize,
    /// After so many seconds and so many openings, with the editor closed.
    pub(crate) taken: Vec<(f64, usize, Taken)>,
}

/// Of a fifth of the time: the least memory and files, which is what stays, the most files, and the openings before its middle.
struct Fifth {
    kib: f64,
    files: usize,
    most_files: usize,
    openings: usize,
}

impl Counted {
    pub(crate) fn play(&mut self, steps: &[Step], seconds: f64) {
        self.stints += 1;
        self.seconds += seconds;
        self.blocks += steps.len();
        self.changes += steps.iter().map(|step| step.changes.len()).sum::<usize>();
    }

    /// `None` where the editor was open throughout.
    fn fifth(&self, number: u32) -> Option<Fifth> {
        let from = self.seconds / 5.0 * f64::from(number);
        let within = |at: f64| (from..=from + self.seconds / 5.0 + 1e-6).contains(&at);
        let of = || self.taken.iter().filter(|(at, ..)| within(*at));
        Some(Fifth {
            files: of().map(|(.., taken)| taken.files).min()?,
            most_files: of().map(|(.., taken)| taken.files).max()?,
            openings: of().map(|(_, openings, _)| *openings).min()?,
            kib: of().map(|(.., taken)| taken.kib).fold(f64::INFINITY, f64::min),
        })
    }

    /// Fails where the last fifth takes more than the first and what is allowed.
    pub(crate) fn hold(&self, most_kib: f64, most_kib_an_opening: f64, files_an_opening: usize) {
        let fifth = |number| self.fifth(number).expect("it is counted at the beginning and at the end");
        let (first, last) = (fifth(0), fifth(4));
        let openings = self.openings - first.openings;
        let allowed_kib = most_kib + most_kib_an_opening * openings as f64;
        assert!(last.kib - first.kib < allowed_kib, "memory grew from {} KiB to {}", first.kib, last.kib);
        let allowed = first.most_files + files_an_opening * openings;
        assert!(last.files <= allowed, "{} files were open, then {}", first.most_files, last.files);
    }
}

impl Display for Counted {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        let fifths: Vec<Fifth> = (0..5).filter_map(|number| self.fifth(number)).collect();
        let each = |figure: fn(&Fifth) -> String| fifths.iter().map(figure).collect::<Vec<_>>().join(", ");
        write!(
            f,
            "{:.1} minutes in {} stints and {} blocks; {} parameters moved, {} times set up anew, {} instances made \
             anew, {} openings, {} states saved and {} loaded. At least taken in each fifth: {} MiB; {} files",
            self.seconds / 60.0,
            self.stints,
            self.blocks,
            self.changes,
            self.activations,
            self.instances,
            self.openings,
            self.saved,
            self.loaded,
            each(|fifth| format!("{:.1}", fifth.kib / 1024.0)),
            each(|fifth| fifth.files.to_string()),
        )
    }
}
