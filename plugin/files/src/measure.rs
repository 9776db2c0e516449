//! Measuring a sound file: the decoder, the Analyzer and the Desk in a row.

use std::ops::ControlFlow;
use std::path::Path;

use candlemark_analysis::Position;
use candlemark_session::delivery::Finished;
use candlemark_session::desk::Desk;
use candlemark_session::edges::{Edges, Silence};
use candlemark_session::figures::SongFigures;
use candlemark_session::strip::StripPoint;

use crate::fingerprint::{Stamp, sha256};
use crate::{FileError, FileInfo, SoundFile};

/// The shortest sound that has an integrated loudness: one gating block of 400 ms, ITU-R BS.1770-5 (11/2023)
/// Annex 1.
const GATING_BLOCK_S: f64 = 0.4;

/// What was measured of a file.
#[derive(Debug)]
pub struct Measured {
    /// What its header says.
    pub info: FileInfo,
    /// What it measures, as far as it could be read.
    pub figures: SongFigures,
    /// The song strip.
    pub strip: Vec<StripPoint>,
    /// Silence at its head and tail. `None` when nothing in it sounds.
    pub silence: Option<Silence>,
    /// What is wrong with it all the same, most serious first: it ends too early, is damaged, carries samples
    /// that are no numbers, or is silent. Empty for a sound file.
    pub troubles: Vec<FileError>,
    /// What the file was when its reading began.
    pub(crate) stamp: Stamp,
}

impl Measured {
    /// The SHA-256 (FIPS 180-4) of the file that was measured, in hexadecimal digits. It reads the whole file.
    ///
    /// # Errors
    ///
    /// When it can't be read any more, or is not what was measured.
    pub fn sha256(&self, path: &Path) -> Result<String, FileError> {
        sha256(path, self.stamp)
    }

    /// What there is to say of its health.
    pub fn health_words(&self) -> Vec<String> {
        let troubles = self.troubles.iter().filter_map(FileError::health_words).map(str::to_owned);
        troubles.chain(self.figures.health.words()).collect()
    }

    /// The file as a delivery profile asks about it.
    pub fn finished(&self) -> Finished<'_> {
        let is_partly_read = |trouble: &FileError| {
            matches!(
                trouble,
                FileError::Truncated { .. }
                    | FileError::Damaged { .. }
                    | FileError::NotReadable { .. }
                    | FileError::Changed { .. }
            )
        };
        Finished {
            song: &self.figures,
            sample_rate: self.info.sample_rate,
            channels: self.info.channels,
            bit_depth: self.info.bit_depth,
            silence: self.silence,
            is_whole: !self.troubles.iter().any(is_partly_read),
        }
    }
}

/// Measures a file from its beginning to its end. `progress` is told the share that has been read, 0 to 1,
/// after each block. Memory grows by the cells alone, under a kilobyte for a second of sound.
///
/// # Errors
///
/// When nothing of it can be read. What is wrong with a file that can is told beside its figures.
pub fn measure(path: &Path, mut progress: impl FnMut(f64)) -> Result<Measured, FileError> {
    measure_while(path, |share| {
        progress(share);
        ControlFlow::Continue(())
    })
}

/// The same, until `progress` breaks it off.
///
/// # Errors
///
/// As [`measure`]; [`FileError::Stopped`] where it was broken off.
pub fn measure_while(
    path: &Path,
    mut progress: impl FnMut(f64) -> ControlFlow<()>,
) -> Result<Measured, FileError> {
    let stamp = Stamp::of(path)?;
    // What does not open because it is being written is told as that, and not as damage.
    let mut file = SoundFile::open(path).map_err(|error| stamp.hold(path).err().unwrap_or(error))?;
    let info = file.info();
    let mut analyzer = file.analyzer()?;
    let mut desk = Desk::of_file(info.sample_rate, info.channels);
    let mut edges = Edges::default();
    let mut troubles = Vec::new();
    loop {
        let share = file.progress();
        match file.next_block() {
            Ok(Some(block)) => {
                let position = Position::in_file(block.frame as i64);
                edges.take(block.left, block.right);
                analyzer.push(block.left, block.right, position, &mut desk);
            }
            Ok(None) => break,
            // There may be more to tell; the reader gives each once, and then its end.
            Err(error) => troubles.push(error),
        }
        if progress(share).is_break() {
            return Err(FileError::Stopped { path: path.to_owned() });
        }
    }
    analyzer.finish(&mut desk);
    if let Err(changed) = stamp.hold(path) {
        troubles.insert(0, changed);
    }
    let figures = desk.figures();
    troubles.extend(troubles_of(path, &figures));
    Ok(Measured {
        strip: desk.strip(),
        silence: edges.silence(info.sample_rate),
        info,
        figures,
        troubles,
        stamp,
    })
}

/// What the figures themselves say is wrong.
fn troubles_of(path: &Path, figures: &SongFigures) -> Vec<FileError> {
    let mut troubles = Vec::new();
    let health = &figures.health;
    if health.non_finite > 0 {
        troubles.push(FileError::NonFinite {
            path: path.to_owned(),
            count: health.non_finite,
            first_s: health.non_finite_at_s.unwrap_or_default(),
        });
    }
    let too_short_to_tell = figures.duration_s < GATING_BLOCK_S && figures.sample_peak_dbfs.is_some();
    if figures.integrated.is_none() && !too_short_to_tell {
        troubles.push(FileError::Silent { path: path.to_owned() });
    }
    troubles
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_sounds::{floats, wav};

    fn written(samples: impl IntoIterator<Item = f32>, channels: u16) -> tempfile::NamedTempFile {
        let file = tempfile::Builder::new().suffix(".wav").tempfile().unwrap();
        std::fs::write(file.path(), wav(floats(channels, 48_000), samples)).unwrap();
        file
    }

    fn kinds(measured: &Measured) -> Vec<&'static str> {
        measured.troubles.iter().map(FileError::kind).collect()
    }

    fn tone(n: usize) -> f32 {
        0.1 * (n as f32 * 0.13).sin()
    }

    #[test]
    fn a_sound_file_is_measured_to_its_last_frame() {
        let file = written((0..2 * 96_001).map(|n| tone(n / 2)), 2);
        let mut shares = Vec::new();
        let measured = measure(file.path(), |share| shares.push(share)).unwrap();
        assert_eq!(kinds(&measured), [] as [&str; 0]);
        assert_eq!(measured.figures.duration_s, 96_001.0 / 48_000.0);
        assert!(measured.figures.integrated.is_some());
        assert!(shares.is_sorted() && shares.last().unwrap() > &0.9, "{shares:?}");
    }

    #[test]
    fn a_file_with_nan_is_measured_and_told() {
        let samples = (0..96_000).map(|n| if n == 60_000 { f32::NAN } else { tone(n) });
        let measured = measure(written(samples, 1).path(), |_| ()).unwrap();
        assert_eq!(kinds(&measured), ["non-finite"]);
        assert!(measured.figures.integrated.is_some());
        let told = measured.troubles[0].to_string();
        assert!(told.contains("1 sample") && told.contains("1.2"), "{told}");
    }

    #[test]
    fn a_file_that_is_written_to_while_it_is_read_is_told() {
        let file = written((0..96_000).map(tone), 1);
        let mut is_written_to = false;
        let measured = measure(file.path(), |_| {
            if !std::mem::replace(&mut is_written_to, true) {
                use std::io::Write as _;
                let mut end = std::fs::File::options().append(true).open(file.path()).unwrap();
                end.write_all(b"more").unwrap();
            }
        });
        let measured = measured.unwrap();
        assert_eq!(kinds(&measured), ["changed"]);
        assert!(!measured.finished().is_whole);
        assert_eq!(measured.sha256(file.path()).unwrap_err().kind(), "changed");
    }

    #[test]
    fn a_sound_under_a_gating_block_is_not_called_silent() {
        let measured = measure(written((0..9600).map(tone), 1).path(), |_| ()).unwrap();
        assert_eq!(kinds(&measured), [] as [&str; 0]);
        assert_eq!(measured.figures.integrated, None);
    }
}
