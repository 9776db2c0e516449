//! Sound files for the tests.

use hound::{SampleFormat, WavSpec, WavWriter};

/// A WAV file of these samples, frame by frame.
pub(crate) fn wav(
    channels: u16,
    sample_rate: u32,
    samples: impl IntoIterator<Item = f32>,
) -> tempfile::NamedTempFile {
    let file = tempfile::Builder::new().suffix(".wav").tempfile().unwrap();
    let spec = WavSpec { channels, sample_rate, bits_per_sample: 32, sample_format: SampleFormat::Float };
    let mut writer = WavWriter::create(file.path(), spec).unwrap();
    for sample in samples {
        writer.write_sample(sample).unwrap();
    }
    writer.finalize().unwrap();
    file
}
