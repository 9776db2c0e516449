//! Two prints of a song, laid over each other and put beside each other.

use std::path::Path;

use candlemark_analysis::{Cell, Position, Reading, Sink};
use candlemark_session::prints::{Changed, LEAST_COMMON_S, Overlay, STEP_S, cuts, lay_over, unlike};

use crate::{FileError, Measured, SoundFile};

/// Two prints of a song.
#[derive(Clone, Debug, PartialEq)]
pub struct Prints {
    /// Where they lie over each other.
    pub overlay: Overlay,
    /// What the new one changed.
    pub changed: Changed,
}

/// Puts a new print beside an old one, each with what was measured of it. Each file is read twice more.
///
/// # Errors
///
/// When a file can't be read, is damaged or cut off, is too short or not any more what was measured, or the two are not one
/// song or lie over each other by chance alone.
pub fn compare_prints(
    [(old, old_measured), (new, new_measured)]: [(&Path, &Measured); 2],
) -> Result<Prints, FileError> {
    for (path, measured) in [(old, old_measured), (new, new_measured)] {
        let is_s = measured.figures.duration_s;
        if is_s < LEAST_COMMON_S {
            return Err(FileError::PrintTooShort { path: path.to_owned(), is_s });
        }
    }
    let prints = lay_beside(old, new);
    // Told before whatever else is wrong with what was read since.
    old_measured.stamp.hold(old)?;
    new_measured.stamp.hold(new)?;
    prints
}

fn lay_beside(old: &Path, new: &Path) -> Result<Prints, FileError> {
    let [old_steps, new_steps] = [steps(old)?, steps(new)?];
    let overlay = lay_over(&old_steps, &new_steps)
        .ok_or_else(|| FileError::NotOneSong { path: new.to_owned(), old: old.to_owned() })?;
    let cuts = cuts(&old_steps, &new_steps, &overlay);
    let unlike = unlike(&old_steps, &new_steps, &overlay, &cuts);
    let start_s = (-overlay.later_s).max(0.0);
    let (old_cells, new_cells) = (cells(old, start_s)?, cells(new, overlay.later_s.max(0.0))?);
    let changed = Changed::new(&old_cells, &new_cells, start_s, cuts, unlike);
    if changed.is_enough() {
        Ok(Prints { overlay, changed })
    } else {
        Err(FileError::TooLittleInCommon { path: new.to_owned(), old: old.to_owned() })
    }
}

/// Mean powers of a file's steps.
fn steps(path: &Path) -> Result<Vec<f64>, FileError> {
    let mut file = SoundFile::open(path)?;
    let step_frames = STEP_S * file.info().sample_rate.0;
    let mut steps: Vec<f64> = Vec::new();
    while let Some(block) = file.next_block()? {
        for ((index, sample), frame) in block.left.iter().enumerate().zip(block.frame..) {
            let other = block.right.get(index).unwrap_or(sample);
            let power = f64::from(*sample).powi(2) + f64::from(*other).powi(2);
            let step = (frame as f64 / step_frames) as usize;
            steps.resize(steps.len().max(step + 1), 0.0);
            // What is no number is silent, as in the measures.
            steps[step] += if power.is_finite() { power } else { 0.0 };
        }
    }
    Ok(steps)
}

/// Keeps the cells of what an Analyzer finds.
#[derive(Default)]
struct Cells(Vec<Cell>);

impl Sink for Cells {
    fn reading(&mut self, _reading: &Reading) {}

    fn cell(&mut self, cell: &Cell) {
        self.0.push(*cell);
    }
}

/// The cells of 1 s of a file from a place on.
fn cells(path: &Path, from_s: f64) -> Result<Vec<Cell>, FileError> {
    let mut file = SoundFile::open(path)?;
    let mut analyzer = file.analyzer()?;
    let mut skip = (from_s * file.info().sample_rate.0).round() as usize;
    let (mut cells, mut frame) = (Cells::default(), 0);
    while let Some(block) = file.next_block()? {
        let skipped = skip.min(block.left.len());
        skip -= skipped;
        let (left, right) = (&block.left[skipped..], block.right.get(skipped..).unwrap_or_default());
        if !left.is_empty() {
            analyzer.push(left, right, Position::in_file(frame), &mut cells);
            frame += left.len() as i64;
        }
    }
    analyzer.finish(&mut cells);
    Ok(cells.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure;
    use crate::test_sounds::{floats, wav};

    fn written(path: &Path, gain: f32) {
        // Beats that are not alike, so that it lies over itself in one place alone.
        let samples = (0..30 * 8000_u32).map(|n| {
            let beat = (n / 2000).wrapping_mul(2_654_435_761) >> 24;
            gain * beat as f32 / 256.0 * (n as f32 * 0.7).sin()
        });
        std::fs::write(path, wav(floats(1, 8000), samples)).unwrap();
    }

    #[test]
    fn a_print_that_was_written_to_since_it_was_measured_is_told() {
        let folder = tempfile::tempdir().unwrap();
        let [old, new] = ["old.wav", "new.wav"].map(|name| folder.path().join(name));
        written(&old, 0.1);
        written(&new, 0.2);
        let measured = [&old, &new].map(|path| measure(path, |_| ()).unwrap());
        let compare = || compare_prints([(&old, &measured[0]), (&new, &measured[1])]);
        assert!(compare().is_ok());
        for path in [&new, &old] {
            std::fs::write(path, std::fs::read(path).unwrap().repeat(2)).unwrap();
            let error = compare().unwrap_err();
            assert_eq!(error.kind(), "changed");
            assert!(error.to_string().starts_with(&path.display().to_string()), "{error}");
        }
    }
}
