//! What was played, and what it took of the machine.

use std::fmt::{self, Display, Formatter};

use super::stint::Step;
use crate::taken::Taken;

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
    least: Taken,
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
            least: Taken::least(of().map(|(.., taken)| *taken))?,
            most_files: of().map(|(.., taken)| taken.files).max()?,
            openings: of().map(|(_, openings, _)| *openings).min()?,
        })
    }

    /// Fails where the last fifth takes more than the first and what is allowed.
    pub(crate) fn hold(&self, most_kib: f64, most_kib_an_opening: f64, files_an_opening: usize) {
        let fifth = |number| self.fifth(number).expect("it is counted at the beginning and at the end");
        let (first, last) = (fifth(0), fifth(4));
        let openings = self.openings - first.openings;
        let allowed_kib = most_kib + most_kib_an_opening * openings as f64;
        let [first_kib, last_kib] = [first.least.kib, last.least.kib];
        assert!(last_kib - first_kib < allowed_kib, "memory grew from {first_kib} KiB to {last_kib}");
        let allowed = first.most_files + files_an_opening * openings;
        assert!(
            last.least.files <= allowed,
            "{} files were open, then {}",
            first.most_files,
            last.least.files
        );
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
            each(|fifth| format!("{:.1}", fifth.least.kib / 1024.0)),
            each(|fifth| fifth.least.files.to_string()),
        )
    }
}
