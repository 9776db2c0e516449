//! What a host tells of its transport.

use vst3::Steinberg::Vst::ProcessContext_::StatesAndFlags_::{
    kBarPositionValid, kContTimeValid, kPlaying, kProjectTimeMusicValid, kTempoValid, kTimeSigValid,
};
use vst3::Steinberg::Vst::{Chord, FrameRate, ProcessContext};

use crate::playback::{Block, blocks};

/// A transport that runs in four quarters at `tempo` a minute and is at `frame` of the song.
pub(crate) fn playing_at(frame: i64, sample_rate: f64, tempo: f64) -> ProcessContext {
    let quarters = frame as f64 / sample_rate * tempo / 60.0;
    let told =
        kPlaying | kTempoValid | kProjectTimeMusicValid | kBarPositionValid | kTimeSigValid | kContTimeValid;
    ProcessContext {
        state: told,
        sampleRate: sample_rate,
        projectTimeSamples: frame,
        systemTime: 0,
        continousTimeSamples: frame,
        projectTimeMusic: quarters,
        barPositionMusic: (quarters / 4.0).floor() * 4.0,
        cycleStartMusic: 0.0,
        cycleEndMusic: 0.0,
        tempo,
        timeSigNumerator: 4,
        timeSigDenominator: 4,
        chord: Chord { keyNote: 0, rootNote: 0, chordMask: 0 },
        smpteOffsetSubframes: 0,
        frameRate: FrameRate { framesPerSecond: 0, flags: 0 },
        samplesToNextClock: 0,
    }
}

/// Blocks of 512 frames that play the song from its beginning.
pub(crate) fn playing(frames: usize, sample_rate: f64) -> Vec<Block> {
    let mut blocks = blocks(frames, &[512]);
    for (index, block) in blocks.iter_mut().enumerate() {
        block.transport = Some(playing_at(index as i64 * 512, sample_rate, 120.0));
    }
    blocks
}
