//! What the framework's derive and export macros make: the one place with unsafe code.
#![allow(unsafe_code, reason = "the framework's Params trait and its entry points for hosts are unsafe")]
#![allow(unreachable_pub, missing_docs, reason = "the export macros make what hosts look up by name")]

use std::collections::BTreeMap;
use std::sync::Arc;
use std::sync::atomic::AtomicU32;

use candlemark_handoff::{OrderSender, TapeReader};
use candlemark_session::remarks::Meant;
use candlemark_session::song_page::Songs;
use nice_plug::prelude::*;

use crate::meter::Meter;
use crate::parameters;
use crate::saved_format::SavedFormat;
use crate::saved_look::SavedLook;
use crate::saved_once::SavedOnce;
use crate::saved_yardstick::SavedYardstick;
use crate::untold::Untold;

/// What the host's project keeps of an instance. No parameter touches the sound.
///
/// Identifiers and ranges are for good: projects and automation name them.
#[derive(Params)]
pub(crate) struct Settings {
    /// What sounds is aside: it is shown, and is not the song.
    #[id = "aside"]
    pub(crate) aside: BoolParam,
    /// The song is finished, or about to be: it is printed, not mixed.
    #[id = "printing"]
    pub(crate) printing: BoolParam,
    /// The song's time, in minutes.
    #[id = "song_time"]
    pub(crate) song_time: IntParam,
    /// Work between two rests, in minutes.
    #[id = "rest_every"]
    pub(crate) rest_every: IntParam,
    /// How long a rest takes, in minutes.
    #[id = "rest_for"]
    pub(crate) rest_for: IntParam,
    /// Where the monitor knob is, of its marked positions.
    #[id = "knob"]
    pub(crate) knob: IntParam,
    /// The person listens on headphones.
    #[id = "headphones"]
    pub(crate) headphones: BoolParam,
    /// The level that is meant at the chair, in dBA.
    #[id = "meant_level"]
    pub(crate) meant_level: IntParam,
    /// Pressed, it marks a place in a lights-out pass.
    #[id = "mark"]
    pub(crate) mark: BoolParam,
    /// How late the hand is that marks, in seconds.
    #[id = "hand"]
    pub(crate) hand: IntParam,
    /// Counts what has changed of what is kept beside the parameters.
    #[id = "changed"]
    pub(crate) changed: IntParam,
    /// What of that the host has not been told.
    pub(crate) untold: Arc<Untold>,
    /// How often the mark was pressed.
    pub(crate) taps: Arc<AtomicU32>,
    /// Which form of state it is.
    #[persist = "format"]
    pub(crate) format: SavedFormat,
    /// The yardstick in use.
    #[persist = "yardstick"]
    pub(crate) yardstick: SavedYardstick,
    /// How the editor looks.
    #[persist = "look"]
    pub(crate) look: SavedLook,
    /// What the person has meant of what was said of the song.
    #[persist = "meant"]
    pub(crate) meant: SavedOnce<Vec<Meant>>,
    /// The songs, of which one is worked on.
    #[persist = "songs"]
    pub(crate) songs: SavedOnce<Songs>,
}

impl Settings {
    pub(crate) fn new(tape: &TapeReader, orders: &OrderSender) -> Self {
        let taps = Arc::default();
        let untold = Arc::default();
        Self {
            aside: parameters::aside(),
            printing: parameters::printing(),
            song_time: parameters::song_time(),
            rest_every: parameters::rest_every(),
            rest_for: parameters::rest_for(),
            knob: parameters::knob(),
            headphones: parameters::headphones(),
            meant_level: parameters::meant_level(),
            mark: parameters::mark(&taps),
            hand: parameters::hand(),
            changed: parameters::changed(),
            untold: Arc::clone(&untold),
            taps,
            format: SavedFormat::new(tape.clone(), orders.clone(), untold),
            yardstick: SavedYardstick::new(tape.clone()),
            look: SavedLook::new(tape.clone()),
            meant: SavedOnce::new(tape.clone()),
            songs: SavedOnce::new(tape.clone()),
        }
    }
}

/// Sets a parameter, whether a host hands it back or not. None touches the sound, so that it may change in a block.
pub(crate) fn set_here<P: Param>(parameter: &P, value: P::Plain) {
    // SAFETY: it points to the parameter that is borrowed here.
    unsafe { parameter.as_ptr()._internal_set_normalized_value(parameter.preview_normalized(value)) };
}

/// What stands in for a host where there is none, and where nobody is to be told of parameters.
pub(crate) struct NoHost;

impl GuiContextInner for NoHost {
    fn plugin_api(&self) -> PluginApi {
        PluginApi::Standalone
    }

    // The editor has set the parameter itself before it tells.
    unsafe fn raw_begin_set_parameter(&self, _: ParamPtr) {}
    unsafe fn raw_set_parameter_normalized(&self, _: ParamPtr, _: f32) {}
    unsafe fn raw_end_set_parameter(&self, _: ParamPtr) {}

    // No project is kept, so there is none to give or to go back to.
    fn get_state(&self) -> PluginState {
        PluginState {
            version: Meter::VERSION.to_owned(),
            params: BTreeMap::default(),
            fields: BTreeMap::default(),
        }
    }

    fn set_state(&self, _: PluginState) {}

    fn request_restart(&self) {}
}

nice_export_clap!(Meter);
nice_export_vst3!(Meter);
