//! Music as a file.

use std::path::Path;

use anyhow::Context as _;
use candlemark_tests::sound::Sound;
use hound::{SampleFormat, WavSpec, WavWriter};

/// Full scale of 24 bits.
const FULL_SCALE: f32 = 8_388_608.0;

/// Writes a stereo sound as WAV of 24 bits.
///
/// # Errors
///
/// The file can't be written.
pub fn write(path: &Path, sound: &Sound) -> anyhow::Result<()> {
    let spec = WavSpec {
        channels: 2,
        sample_rate: sound.rate as u32,
        bits_per_sample: 24,
        sample_format: SampleFormat::Int,
    };
    let problem = || format!("can't write {}", path.display());
    let mut writer = WavWriter::create(path, spec).with_context(problem)?;
    for (left, right) in sound.left.iter().zip(&sound.right) {
        for sample in [left, right] {
            let whole = (sample * FULL_SCALE).round().clamp(-FULL_SCALE, FULL_SCALE - 1.0);
            writer.write_sample(whole as i32).with_context(problem)?;
        }
    }
    writer.finalize().with_context(problem)
}
