//! What `measure_wav.py` finds, written from the definitions with NumPy and SciPy alone.

use std::path::PathBuf;

use candlemark_session::figures::SongFigures;
use candlemark_tests::sound::Sound;
use serde::Deserialize;
use tempfile::TempDir;

use crate::python;

#[derive(Debug, Deserialize)]
pub(crate) struct Theirs {
    pub(crate) integrated_lufs: f64,
    pub(crate) cells: usize,
    pub(crate) gated_cells: usize,
    pub(crate) fold_db: f64,
    pub(crate) correlation: f64,
    pub(crate) crest_db: f64,
    pub(crate) bands: Vec<TheirBand>,
}

#[derive(Debug, Deserialize)]
pub(crate) struct TheirBand {
    pub(crate) hz: f64,
    pub(crate) level_db: f64,
    pub(crate) relative_db: f64,
    pub(crate) fold_db: f64,
    pub(crate) correlation: f64,
}

/// A sound in a file of its own, for both to measure.
pub(crate) struct Shared {
    _folder: TempDir,
    path: PathBuf,
}

impl Shared {
    pub(crate) fn new(sound: &Sound) -> Self {
        let folder = TempDir::new().expect("a temporary folder can be made");
        let path = folder.path().join("sound.wav");
        sound.write_wav(&path);
        Self { _folder: folder, path }
    }

    pub(crate) fn ours(&self) -> SongFigures {
        let measured =
            candlemark_files::measure(&self.path, |_| ()).unwrap_or_else(|error| panic!("{error}"));
        assert!(measured.troubles.is_empty(), "{:?}", measured.troubles);
        measured.figures
    }

    pub(crate) fn theirs(&self) -> Theirs {
        python::printed("measure_wav.py", &[self.path.as_os_str()])
    }

    /// The same, but no bands.
    pub(crate) fn theirs_without_bands(&self) -> Theirs {
        python::printed("measure_wav.py", &["--without-bands".as_ref(), self.path.as_os_str()])
    }

    /// For each band, the lowest and the highest level in dB that class 1 permits, when nothing is gated.
    pub(crate) fn class_1_db(&self) -> Vec<(f64, f64)> {
        python::printed("class_1.py", &[self.path.as_os_str()])
    }
}
