//! Sound files to test with.

use std::io::Cursor;

use hound::{Sample, SampleFormat, WavSpec, WavWriter};

/// Single precision.
pub(crate) fn floats(channels: u16, sample_rate: u32) -> WavSpec {
    WavSpec { channels, sample_rate, bits_per_sample: 32, sample_format: SampleFormat::Float }
}

/// A WAV file's bytes.
pub(crate) fn wav<S: Sample>(spec: WavSpec, samples: impl IntoIterator<Item = S>) -> Vec<u8> {
    let mut bytes = Cursor::new(Vec::new());
    let mut writer = WavWriter::new(&mut bytes, spec).unwrap();
    samples.into_iter().for_each(|sample| writer.write_sample(sample).unwrap());
    writer.finalize().unwrap();
    bytes.into_inner()
}
