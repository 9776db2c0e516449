//! What a sound file's header says.

use candlemark_analysis::{Channels, Hertz};
use symphonia::core::codecs::audio::well_known as codecs;
use symphonia::core::codecs::audio::{AudioCodecId, AudioCodecParameters};

/// What is known of a sound file before it is read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FileInfo {
    /// Its sample rate; within [`candlemark_analysis::Analyzer::RATES`].
    pub sample_rate: Hertz,
    /// One channel or two.
    pub channels: Channels,
    /// Bits of a sample. `None` where the file is coded by ear and has none.
    pub bit_depth: Option<u32>,
}

/// Codecs that keep a number for every sample.
const NUMBERS: [(AudioCodecId, Option<u32>); 18] = [
    (codecs::CODEC_ID_PCM_F32LE, Some(32)),
    (codecs::CODEC_ID_PCM_F32BE, Some(32)),
    (codecs::CODEC_ID_PCM_F64LE, Some(64)),
    (codecs::CODEC_ID_PCM_F64BE, Some(64)),
    (codecs::CODEC_ID_PCM_ALAW, Some(8)),
    (codecs::CODEC_ID_PCM_MULAW, Some(8)),
    (codecs::CODEC_ID_PCM_S8, None),
    (codecs::CODEC_ID_PCM_U8, None),
    (codecs::CODEC_ID_PCM_S16LE, None),
    (codecs::CODEC_ID_PCM_S16BE, None),
    (codecs::CODEC_ID_PCM_U16LE, None),
    (codecs::CODEC_ID_PCM_U16BE, None),
    (codecs::CODEC_ID_PCM_S24LE, None),
    (codecs::CODEC_ID_PCM_S24BE, None),
    (codecs::CODEC_ID_PCM_S32LE, None),
    (codecs::CODEC_ID_PCM_S32BE, None),
    (codecs::CODEC_ID_FLAC, None),
    (codecs::CODEC_ID_ALAC, None),
];

/// Bits of a sample of a stream. `None` where it has none, or does not say.
pub(crate) fn bit_depth(parameters: &AudioCodecParameters) -> Option<u32> {
    let (_, bits) = NUMBERS.iter().find(|(codec, _)| *codec == parameters.codec)?;
    bits.or(parameters.bits_per_sample)
}
