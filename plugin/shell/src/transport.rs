//! What the host says about its transport, in the Analyzer's words.

use candlemark_analysis::Position;
use nice_plug::prelude::Transport;

/// Whether the host has said anything about its transport. Without a word of it the framework gives an empty
/// one, which looks like a stopped one but for these two fields: CLAP always has the first, VST3 the second.
pub(crate) fn is_known(transport: &Transport) -> bool {
    transport.preroll_active.is_some() || transport.pos_samples.is_some()
}

/// The position of a block's first frame. A transport that the host says nothing of gives
/// [`Position::UNKNOWN`], but for the offline flag.
///
/// Only what the host itself says is taken. The framework would make up a position in frames from beats and
/// tempo, and it would jump at every change of tempo.
pub(crate) fn position(transport: &Transport, offline: bool) -> Position {
    if !is_known(transport) {
        return Position { offline, ..Position::UNKNOWN };
    }
    let seconds = transport.pos_seconds.filter(|seconds| seconds.is_finite());
    let frame = || seconds.map(|seconds| nearest(seconds * f64::from(transport.sample_rate)));
    Position {
        playing: Some(transport.playing),
        song_frame: transport.pos_samples.or_else(frame),
        beats: transport.pos_beats.filter(|beats| beats.is_finite()),
        tempo_bpm: transport.tempo.filter(|&tempo| tempo.is_finite() && tempo > 0.0),
        preroll: transport.preroll_active.unwrap_or(false),
        offline,
    }
}

/// The nearest whole number. `f64::round` would be a call where the processor may lack the instruction.
fn nearest(value: f64) -> i64 {
    (value + 0.5_f64.copysign(value)) as i64
}
