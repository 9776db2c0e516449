//! What the framework's derive and export macros make: the one place with unsafe code.
#![allow(unsafe_code, reason = "the framework's Params trait and its entry points for hosts are unsafe")]
#![allow(unreachable_pub, missing_docs, reason = "the export macros make what hosts look up by name")]

use candlemark_handoff::TapeReader;
use nice_plug::prelude::*;

use crate::meter::Meter;
use crate::parameters;
use crate::saved_format::SavedFormat;
use crate::saved_yardstick::SavedYardstick;

/// What the host's project keeps of an instance. No parameter touches the sound.
///
/// Identifiers and ranges are for good: projects and automation name them.
#[derive(Params)]
pub(crate) struct Settings {
    /// What sounds is aside: it is shown, and is not the song.
    #[id = "aside"]
    pub(crate) aside: BoolParam,
    /// The song's time, in minutes.
    #[id = "song_time"]
    pub(crate) song_time: IntParam,
    /// Which form of state it is.
    #[persist = "format"]
    pub(crate) format: SavedFormat,
    /// The yardstick in use.
    #[persist = "yardstick"]
    pub(crate) yardstick: SavedYardstick,
}

impl Settings {
    pub(crate) fn new(tape: &TapeReader) -> Self {
        Self {
            aside: parameters::aside(),
            song_time: parameters::song_time(),
            format: SavedFormat::new(tape.clone()),
            yardstick: SavedYardstick::new(tape.clone()),
        }
    }
}

nice_export_clap!(Meter);
nice_export_vst3!(Meter);
