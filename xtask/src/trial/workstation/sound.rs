//! Stereo sound as the trial makes it, reads it back, and holds one beside another.

use std::path::Path;

use anyhow::{Context, Result, ensure};
use hound::{SampleFormat, WavReader, WavSpec, WavWriter};

/// Frames a second of all the trial's sound.
pub(super) const RATE: u32 = 48_000;
/// Long enough to be heard, latched and recorded from (ours), in seconds.
const SONG_S: u32 = 30;
/// Silence at each end of the song, in seconds (ours): a workstation may fade where playback or a region begins and ends.
const SILENCE_S: f64 = 0.5;
/// Frames by which a recording is found in the song (ours). The song is noise: no second place has the same.
const MARK: usize = 64;

/// Two sides of equal length, full scale ±1.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Sound {
    sides: [Vec<f32>; 2],
}

impl Sound {
    /// A song of noise: two sides that have nothing in common, the left at up to 0.5 and the right at up to 0.1, so that a
    /// fold to mono is seen in the levels.
    pub(super) fn song() -> Self {
        let frames = (RATE * SONG_S) as usize;
        let silence = (f64::from(RATE) * SILENCE_S) as usize;
        let mut sides = [vec![0.0; frames], vec![0.0; frames]];
        let mut state = 1;
        for frame in silence..frames - silence {
            for (side, peak) in sides.iter_mut().zip([0.5, 0.1]) {
                side[frame] = peak * noise(&mut state);
            }
        }
        Self { sides }
    }

    pub(super) fn frames(&self) -> usize {
        self.sides[0].len()
    }

    pub(super) fn write(&self, path: &Path) -> Result<()> {
        let spec = WavSpec {
            channels: 2,
            sample_rate: RATE,
            bits_per_sample: 32,
            sample_format: SampleFormat::Float,
        };
        let write = || {
            let mut file = WavWriter::create(path, spec)?;
            for (left, right) in self.sides[0].iter().zip(&self.sides[1]) {
                file.write_sample(*left)?;
                file.write_sample(*right)?;
            }
            file.finalize()
        };
        write().with_context(|| format!("can't write {}", path.display()))
    }

    /// Reads a stereo file.
    pub(super) fn read(path: &Path) -> Result<Self> {
        let samples = samples_of(path, 2)?;
        let side = |side: usize| samples.iter().skip(side).step_by(2).copied().collect();
        Ok(Self { sides: [side(0), side(1)] })
    }

    /// Reads two mono files.
    pub(super) fn read_sides(left: &Path, right: &Path) -> Result<Self> {
        let sides = [samples_of(left, 1)?, samples_of(right, 1)?];
        ensure!(sides[0].len() == sides[1].len(), "a recording's sides are of different length");
        Ok(Self { sides })
    }

    /// How many samples of the two are not the same, bit for bit.
    ///
    /// # Errors
    ///
    /// Where one is longer than the other.
    pub(super) fn differing(&self, other: &Self) -> Result<usize> {
        let (frames, others) = (self.frames(), other.frames());
        ensure!(frames == others, "one holds {frames} frames, the other {others}");
        let differ = |(a, b): (&Vec<f32>, &Vec<f32>)| {
            a.iter().zip(b).filter(|(a, b)| a.to_bits() != b.to_bits()).count()
        };
        Ok(self.sides.iter().zip(&other.sides).map(differ).sum())
    }

    /// The same from this frame on.
    pub(super) fn from(&self, frame: usize) -> Self {
        Self { sides: self.sides.each_ref().map(|side| side[frame.min(side.len())..].to_vec()) }
    }

    /// Finds the song in a recording of all or some of it.
    ///
    /// # Errors
    ///
    /// Where what stands in the middle of the recording's sound is nowhere in the song.
    pub(super) fn under(&self, recording: &Self) -> Result<Under> {
        let sounds = |frame: &usize| recording.sides.iter().any(|side| side[*frame] != 0.0);
        let first = (0..recording.frames()).find(sounds).context("a recording is silent")?;
        let last = (first..recording.frames()).rfind(sounds).unwrap_or(first);
        let middle = usize::midpoint(first, last);
        ensure!(middle + MARK <= recording.frames(), "a recording is too short");
        let mark = |sound: &Self, at: usize| sound.sides.each_ref().map(|side| side[at..at + MARK].to_vec());
        let wanted = mark(recording, middle);
        let found = (0..=self.frames().saturating_sub(MARK))
            .find(|at| self.sides[0][*at].to_bits() == wanted[0][0].to_bits() && mark(self, *at) == wanted)
            .context("what was recorded is not the song")?;
        let at = |side: usize, frame: usize| {
            (frame + found)
                .checked_sub(middle)
                .and_then(|at| self.sides[side].get(at))
                .copied()
                .unwrap_or(0.0)
        };
        let sides = [0, 1].map(|side| (0..recording.frames()).map(|frame| at(side, frame)).collect());
        Ok(Under { song: Self { sides }, starts: middle.checked_sub(found) })
    }
}

/// The song under a recording of it.
#[derive(Debug)]
pub(super) struct Under {
    /// What the recording should hold: the song, with silence before its start and behind its end.
    pub(super) song: Sound,
    /// The recording's frame in which the song starts; `None` where it had started before.
    pub(super) starts: Option<usize>,
}

/// White noise within ±1: an xorshift generator (Marsaglia, “Xorshift RNGs”, Journal of Statistical Software 8 (14), 2003,
/// the triple 13, 7, 17), of which the upper 24 bits are as many as a float holds.
fn noise(state: &mut u64) -> f32 {
    *state ^= *state << 13;
    *state ^= *state >> 7;
    *state ^= *state << 17;
    (*state >> 40) as f32 / (1 << 23) as f32 - 1.0
}

/// The samples of a file of 32-bit floats.
fn samples_of(path: &Path, channels: u16) -> Result<Vec<f32>> {
    let mut file = WavReader::open(path).with_context(|| format!("can't read {}", path.display()))?;
    let spec = file.spec();
    ensure!(
        spec.sample_format == SampleFormat::Float && spec.channels == channels && spec.sample_rate == RATE,
        "{} is not of {channels} channels of floats at {RATE} Hz: {spec:?}",
        path.display()
    );
    file.samples().collect::<Result<_, _>>().with_context(|| format!("{} is damaged", path.display()))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A part of the song, with so many frames of silence around it.
    fn recorded(song: &Sound, frames: std::ops::Range<usize>, silence: usize) -> Sound {
        let pad = vec![0.0; silence];
        Sound { sides: song.sides.each_ref().map(|side| [&pad, &side[frames.clone()], &pad].concat()) }
    }

    #[test]
    fn one_bit_is_a_difference() {
        let song = Sound::song();
        assert_eq!(song.differing(&song).unwrap(), 0);
        let mut other = song.clone();
        let sample = &mut other.sides[1][100_000];
        *sample = f32::from_bits(sample.to_bits() ^ 1);
        assert_eq!(song.differing(&other).unwrap(), 1);
        other.sides[0][200_000] = 0.25;
        assert_eq!(song.differing(&other).unwrap(), 2);
        // Silence with another sign is another bit.
        other.sides[0][0] = -0.0;
        assert_eq!(song.differing(&other).unwrap(), 3);
    }

    #[test]
    fn sounds_of_different_length_are_not_compared() {
        let song = Sound::song();
        assert!(song.differing(&recorded(&song, 0..song.frames(), 1)).is_err());
    }

    #[test]
    fn a_fold_to_mono_and_a_gain_are_differences() {
        let song = Sound::song();
        let sounding = 2 * (song.frames() - RATE as usize);
        let fold = |[left, right]: &[Vec<f32>; 2]| -> Vec<f32> {
            left.iter().zip(right).map(|(left, right)| f32::midpoint(*left, *right)).collect()
        };
        let mono = Sound { sides: [fold(&song.sides), fold(&song.sides)] };
        assert!(song.differing(&mono).unwrap() > sounding * 99 / 100);
        let softer =
            Sound { sides: song.sides.each_ref().map(|side| side.iter().map(|x| x * 0.9).collect()) };
        assert!(song.differing(&softer).unwrap() > sounding * 99 / 100);
    }

    #[test]
    fn a_recording_is_found_in_the_song() {
        let song = Sound::song();
        for frames in [0..song.frames(), 48_000..96_000, 1_000_000..1_200_000] {
            let recording = recorded(&song, frames.clone(), if frames.start == 0 { 300 } else { 0 });
            assert_eq!(song.under(&recording).unwrap().song.differing(&recording).unwrap(), 0, "{frames:?}");
        }
        assert_eq!(song.under(&recorded(&song, 0..song.frames(), 300)).unwrap().starts, Some(300));
        assert_eq!(song.under(&recorded(&song, 48_000..96_000, 0)).unwrap().starts, None);
        // What is cut out of a recording is missed.
        let mut cut = recorded(&song, 48_000..96_000, 0);
        cut.sides[0][..100].fill(0.0);
        assert_eq!(song.under(&cut).unwrap().song.differing(&cut).unwrap(), 100);
        assert_eq!(song.under(&cut).unwrap().song.from(99).differing(&cut.from(99)).unwrap(), 1);
        assert_eq!(song.under(&cut).unwrap().song.from(100).differing(&cut.from(100)).unwrap(), 0);
    }

    #[test]
    fn what_is_not_the_song_is_not_found_in_it() {
        let song = Sound::song();
        let mut other = recorded(&song, 48_000..96_000, 0);
        other.sides[0].iter_mut().for_each(|sample| *sample *= 0.5);
        assert!(song.under(&other).is_err());
        let silent = Sound { sides: [vec![0.0; 100], vec![0.0; 100]] };
        assert!(song.under(&silent).is_err());
    }

    #[test]
    fn a_file_holds_the_sound_that_was_written() {
        let home = tempfile::tempdir().unwrap();
        let path = home.path().join("song.wav");
        let song = Sound::song();
        song.write(&path).unwrap();
        assert_eq!(Sound::read(&path).unwrap(), song);
        assert!(Sound::read_sides(&path, &path).is_err(), "a stereo file is no side");
    }
}
