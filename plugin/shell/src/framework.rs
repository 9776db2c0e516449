//! What the framework's derive and export macros make: the one place with unsafe code.
#![allow(unsafe_code, reason = "the framework's Params trait and its entry points for hosts are unsafe")]
#![allow(unreachable_pub, missing_docs, reason = "the export macros make what hosts look up by name")]

use candlemark_handoff::TapeReader;
use nice_plug::prelude::*;

use crate::meter::Meter;
use crate::saved_yardstick::SavedYardstick;

/// What the host's project keeps of an instance. There is no parameter: nothing that a host could automate
/// touches the sound.
#[derive(Params)]
pub(crate) struct Settings {
    /// The yardstick in use.
    #[persist = "yardstick"]
    pub(crate) yardstick: SavedYardstick,
}

impl Settings {
    pub(crate) fn new(tape: TapeReader) -> Self {
        Self { yardstick: SavedYardstick::new(tape) }
    }
}

nice_export_clap!(Meter);
nice_export_vst3!(Meter);
