//! What this process takes of the machine, as Linux tells of it.

use std::fs;

/// What it takes now.
#[derive(Clone, Copy, Debug)]
pub struct Taken {
    /// Resident memory in KiB.
    pub kib: f64,
    /// Open files.
    pub files: usize,
}

impl Taken {
    /// What it takes now.
    pub fn now() -> Self {
        let files = fs::read_dir("/proc/self/fd").expect("it tells of open files").count();
        Self { kib: resident_kib(), files }
    }

    /// The least of several, of each by itself: a graphics driver holds some memory for a while now and then. `None` of none.
    pub fn least(of: impl IntoIterator<Item = Self>) -> Option<Self> {
        let least =
            |one: Self, other: Self| Self { kib: one.kib.min(other.kib), files: one.files.min(other.files) };
        of.into_iter().reduce(least)
    }
}

/// Resident memory in KiB.
pub fn resident_kib() -> f64 {
    status_kib("VmRSS:")
}

/// The process's own writable memory, touched or not, in MiB.
pub fn reserved_mib() -> f64 {
    status_kib("VmData:") / 1024.0
}

/// A figure of `proc_pid_status(5)`.
fn status_kib(name: &str) -> f64 {
    let status = fs::read_to_string("/proc/self/status").expect("the system tells of its processes");
    let line = status.lines().find_map(|line| line.strip_prefix(name)).expect("it tells of its memory");
    line.trim().trim_end_matches(" kB").parse().expect("it is a number")
}

/// How many threads this process has. Where the system does not tell, none.
pub fn threads() -> usize {
    fs::read_dir("/proc/self/task").map_or(0, Iterator::count)
}
