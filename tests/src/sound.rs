//! Sound in memory, out of files and into files.

use std::fs::File;
use std::io::BufWriter;
use std::path::Path;

use candlemark_analysis::{Cell, Channels};
use candlemark_files::{FileError, SoundFile};
use hound::{SampleFormat, WavSpec, WavWriter};

use crate::measured::Heard;

/// A whole sound. The right channel of a mono one is empty.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sound {
    /// Sample rate in Hz.
    pub rate: f64,
    /// The left channel, or the only one; full scale is ±1.
    pub left: Vec<f32>,
    /// The right channel.
    pub right: Vec<f32>,
}

impl Sound {
    /// A stereo sound.
    pub fn stereo(rate: f64, left: Vec<f32>, right: Vec<f32>) -> Self {
        assert_eq!(left.len(), right.len());
        Self { rate, left, right }
    }

    /// The same in both channels.
    pub fn in_both(rate: f64, samples: Vec<f32>) -> Self {
        Self::stereo(rate, samples.clone(), samples)
    }

    /// The sound with this done to each of its channels.
    #[must_use]
    pub fn by_side(&self, change: impl Fn(&[f32]) -> Vec<f32>) -> Self {
        Self { rate: self.rate, left: change(&self.left), right: change(&self.right) }
    }

    /// The sound so many times as strong.
    #[must_use]
    pub fn times(&self, gain: f32) -> Self {
        self.by_side(|side| side.iter().map(|x| x * gain).collect())
    }

    /// Reads a file that nothing is wrong with.
    pub fn read(path: &Path) -> Self {
        let (sound, errors) = Self::read_what_there_is(path).unwrap_or_else(|error| panic!("{error}"));
        assert!(errors.is_empty(), "{errors:?}");
        sound
    }

    /// Reads a file as far as it goes, with what is told at its end.
    ///
    /// # Errors
    ///
    /// When nothing of it can be read.
    pub fn read_what_there_is(path: &Path) -> Result<(Self, Vec<FileError>), FileError> {
        let mut file = SoundFile::open(path)?;
        let mut sound = Self { rate: file.info().sample_rate.0, ..Self::default() };
        let mut errors = Vec::new();
        loop {
            match file.next_block() {
                Ok(Some(block)) => {
                    sound.left.extend_from_slice(block.left);
                    sound.right.extend_from_slice(block.right);
                }
                Ok(None) => return Ok((sound, errors)),
                Err(error) => errors.push(error),
            }
        }
    }

    /// Length in seconds.
    pub fn seconds(&self) -> f64 {
        self.left.len() as f64 / self.rate
    }

    /// The channels, interleaved.
    pub fn interleaved(&self) -> Vec<f32> {
        if self.right.is_empty() {
            return self.left.clone();
        }
        self.left.iter().zip(&self.right).flat_map(|(left, right)| [*left, *right]).collect()
    }

    /// Puts it through the Analyzer, as a file is.
    pub fn heard(&self) -> Heard {
        if self.right.is_empty() {
            Heard::mono(self.rate, &self.left)
        } else {
            Heard::stereo(self.rate, &self.left, &self.right)
        }
    }

    /// The stretch of so many whole seconds whose quietest second is the loudest: music that goes on.
    #[must_use]
    pub fn steadiest_stretch(&self, seconds: usize) -> Self {
        let power = |cell: &Cell| cell.weighted.total(Channels::Stereo);
        let cells = self.heard().cells;
        let quietest = |stretch: &[Cell]| stretch.iter().map(power).fold(f64::INFINITY, f64::min);
        let (start, _) = cells
            .windows(seconds)
            .map(quietest)
            .enumerate()
            .max_by(|a, b| a.1.total_cmp(&b.1))
            .unwrap_or_else(|| panic!("it is shorter than {seconds} s"));
        let from = cells[start].start_frame as usize;
        let to = (from + (seconds as f64 * self.rate) as usize).min(self.left.len());
        Self::stereo(self.rate, self.left[from..to].to_vec(), self.right[from..to].to_vec())
    }

    /// Writes it as WAV in single precision: the very samples.
    pub fn write_wav(&self, path: &Path) {
        let spec = WavSpec {
            channels: if self.right.is_empty() { 1 } else { 2 },
            sample_rate: self.rate as u32,
            bits_per_sample: 32,
            sample_format: SampleFormat::Float,
        };
        let mut writer: WavWriter<BufWriter<File>> =
            WavWriter::create(path, spec).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
        for sample in self.interleaved() {
            writer.write_sample(sample).expect("a sample can be written");
        }
        writer.finalize().expect("the file can be closed");
    }
}
