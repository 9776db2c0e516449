//! Decoding of every container against ffmpeg's own decoders.

use std::f64::consts::TAU;
use std::fmt::Write as _;
use std::path::PathBuf;

use candlemark_tests::signals::{Noise, level_db};
use candlemark_tests::sound::Sound;
use tempfile::TempDir;

use crate::ffmpeg;

/// A file that was made of a known sound.
pub(crate) struct Made {
    _folder: TempDir,
    pub(crate) path: PathBuf,
    /// The sound that was put in.
    source: Vec<[f64; 2]>,
    rate: u32,
}

/// Length of the sound, in seconds; in no container a whole number of packets.
pub(crate) const SECONDS: f64 = 5.317;

/// A tone that climbs on the left, one that stands on the right, and unlike noises; in double precision.
fn source(rate: u32) -> Vec<[f64; 2]> {
    let rate = f64::from(rate);
    let mut noise = Noise::new(51);
    (0..(SECONDS * rate) as usize)
        .map(|n| {
            let t = n as f64 / rate;
            let climbing = 0.3 * (TAU * (100.0 + 150.0 * t) * t).sin();
            let standing = 0.2 * (TAU * 440.0 * t).sin();
            [climbing + noise.gaussian(0.03), standing + 0.3 * climbing + noise.gaussian(0.03)]
        })
        .collect()
}

impl Made {
    /// Encodes the sound at `rate`; `options` are ffmpeg's.
    pub(crate) fn new(rate: u32, ending: &str, options: &[&str]) -> Self {
        let folder = TempDir::new().expect("a temporary folder can be made");
        let path = folder.path().join(format!("sound.{ending}"));
        let source = source(rate);
        ffmpeg::encode(rate, &source, options, &path);
        Self { _folder: folder, path, source, rate }
    }

    fn ours_and_theirs(&self) -> (Sound, Sound) {
        let (ours, theirs) = (Sound::read(&self.path), ffmpeg::decode(&self.path, f64::from(self.rate)));
        assert_eq!(ours.rate, f64::from(self.rate));
        (ours, theirs)
    }
}

const RATES: [u32; 2] = [44_100, 48_000];

/// What keeps every sample: ending, ffmpeg's options, and the step of its numbers as single precision gives
/// them.
const LOSSLESS: [(&str, &[&str], f64); 9] = [
    ("wav", &["-c:a", "pcm_s16le"], STEP_16),
    ("wav", &["-c:a", "pcm_s24le"], STEP_24),
    ("wav", &["-c:a", "pcm_s32le"], STEP_24),
    ("wav", &["-c:a", "pcm_f32le"], STEP_24),
    ("wav", &["-c:a", "pcm_f64le"], STEP_24),
    ("aiff", &["-c:a", "pcm_s16be"], STEP_16),
    ("aiff", &["-c:a", "pcm_s24be"], STEP_24),
    ("flac", &["-c:a", "flac", "-sample_fmt", "s16"], STEP_16),
    ("m4a", &["-c:a", "alac", "-sample_fmt", "s16p"], STEP_16),
];
const STEP_16: f64 = 1.0 / 32_768.0;
/// Below full scale, single precision has as many digits as 24 bits.
const STEP_24: f64 = 1.0 / 8_388_608.0;

#[test]
fn lossless_containers_decode_sample_for_sample() {
    for rate in RATES {
        for (ending, options, step) in LOSSLESS {
            let what = format!("{ending} at {rate} Hz, {options:?}");
            let made = Made::new(rate, ending, options);
            let (ours, theirs) = made.ours_and_theirs();
            assert_eq!(ours.left.len(), made.source.len(), "{what}");
            assert!(ours == theirs, "{what}: not the samples that ffmpeg decodes");
            let samples = ours.interleaved();
            let off =
                samples.iter().zip(made.source.iter().flatten()).map(|(x, s)| (f64::from(*x) - s).abs());
            let furthest = off.fold(0f64, f64::max);
            assert!(furthest <= step, "{what}: a sample is {furthest} off, a step is {step}");
        }
    }
}

/// What of the file's length is known to belong to the sound.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Length {
    /// All of it: the file says what the encoder put before and after.
    Told,
    /// The same; but this ffmpeg leaves what is after the sound in.
    ToldButNotToFfmpeg,
    /// Nothing: the decoder gives whole packets.
    Untold,
}

const LOSSY: [(&str, &[&str], Length); 6] = [
    ("mp3", &["-c:a", "libmp3lame", "-b:a", "192k"], Length::Told),
    ("mp3", &["-c:a", "libmp3lame", "-q:a", "2"], Length::Told),
    ("ogg", &["-c:a", "libvorbis", "-q:a", "6"], Length::Told),
    ("m4a", &["-c:a", "aac", "-b:a", "192k"], Length::ToldButNotToFfmpeg),
    ("m4a", &["-c:a", "aac", "-b:a", "192k", "-movflags", "+faststart"], Length::ToldButNotToFfmpeg),
    ("aac", &["-c:a", "aac", "-b:a", "192k", "-f", "adts"], Length::Untold),
];

/// Frames of a packet of AAC (ISO/IEC 14496-3, 4.5.2.1). The encoder puts one before the sound.
const AAC_PACKET: usize = 1024;
/// Both decode in single precision, and round in different places: less than the rounding of 16 bits, whose
/// noise lies 98 dB under a full-scale sine, is no difference.
const ROUNDING_DB: f64 = -98.0;
/// Of levels.
const LEVEL_DB: f64 = 0.001;

#[test]
fn lossy_containers_decode_as_ffmpeg_decodes_them() {
    let mut table = format!(
        "{:<6}{:>7}{:>10}{:>10}{:>10}{:>16}\n",
        "", "Hz", "source", "ours", "ffmpeg's", "difference, dB"
    );
    for rate in RATES {
        for (ending, options, length) in LOSSY {
            let what = format!("{ending} at {rate} Hz, {options:?}");
            let made = Made::new(rate, ending, options);
            let (ours, theirs) = made.ours_and_theirs();
            let [source, our_length, their_length] = [made.source.len(), ours.left.len(), theirs.left.len()];
            match length {
                Length::Told => assert_eq!((our_length, their_length), (source, source), "{what}"),
                Length::ToldButNotToFfmpeg => {
                    assert_eq!(our_length, source, "{what}");
                    assert!((source..source + AAC_PACKET).contains(&their_length), "{what}: {their_length}");
                }
                Length::Untold => {
                    assert_eq!(our_length, their_length, "{what}");
                    let around = our_length - source;
                    assert!((AAC_PACKET..2 * AAC_PACKET).contains(&around), "{what}: {around} frames around");
                }
            }
            let [ours, theirs] = [ours, theirs].map(|sound| sound.interleaved()[..2 * source].to_vec());
            let off: Vec<f32> = ours.iter().zip(&theirs).map(|(a, b)| a - b).collect();
            let difference = level_db(&off) - level_db(&theirs);
            let _ = writeln!(
                table,
                "{ending:<6}{rate:>7}{source:>10}{our_length:>10}{their_length:>10}{difference:>16.1}"
            );
            assert!(difference <= ROUNDING_DB, "{what}: {difference} dB");
            let level = level_db(&ours) - level_db(&theirs);
            assert!(level.abs() <= LEVEL_DB, "{what}: {level} dB");
        }
    }
    println!("{table}");
}
