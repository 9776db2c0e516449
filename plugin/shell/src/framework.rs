//! What the framework's derive and export macros make: the one place with unsafe code.
#![allow(unsafe_code, reason = "the framework's Params trait and its entry points for hosts are unsafe")]
#![allow(unreachable_pub, missing_docs, reason = "the export macros make what hosts look up by name")]

use std::sync::Arc;

use candlemark_handoff::TapeReader;
use nice_plug::plugin::ParamValue;
use nice_plug::prelude::*;

use crate::meter::Meter;
use crate::parameters;
use crate::saved_format::SavedFormat;
use crate::saved_look::SavedLook;
use crate::saved_meant::SavedMeant;
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
    /// How the editor looks.
    #[persist = "look"]
    pub(crate) look: SavedLook,
    /// What the person has meant of what was said of the song.
    #[persist = "meant"]
    pub(crate) meant: SavedMeant,
}

impl Settings {
    pub(crate) fn new(tape: &TapeReader) -> Self {
        Self {
            aside: parameters::aside(),
            song_time: parameters::song_time(),
            format: SavedFormat::new(tape.clone()),
            yardstick: SavedYardstick::new(tape.clone()),
            look: SavedLook::new(tape.clone()),
            meant: SavedMeant::new(tape.clone()),
        }
    }
}

/// What stands in for a host where there is none: the editor's own way to the settings.
pub(crate) struct NoHost(pub(crate) Arc<Settings>);

impl GuiContextInner for NoHost {
    fn plugin_api(&self) -> PluginApi {
        PluginApi::Standalone
    }

    // Nobody records what a person does, so where it begins and ends means nothing.
    unsafe fn raw_begin_set_parameter(&self, _: ParamPtr) {}
    unsafe fn raw_end_set_parameter(&self, _: ParamPtr) {}

    unsafe fn raw_set_parameter_normalized(&self, parameter: ParamPtr, normalized: f32) {
        if self.0.param_map().iter().any(|(_, own, _)| *own == parameter) {
            // SAFETY: it points into the settings, which are held here.
            unsafe { parameter._internal_set_normalized_value(normalized) };
        }
    }

    fn get_state(&self) -> PluginState {
        let params = [
            ("aside".to_owned(), ParamValue::Bool(self.0.aside.value())),
            ("song_time".to_owned(), ParamValue::I32(self.0.song_time.value())),
        ];
        PluginState {
            version: Meter::VERSION.to_owned(),
            params: params.into(),
            fields: self.0.serialize_fields(),
        }
    }

    // No project is kept, so there is none to go back to.
    fn set_state(&self, _: PluginState) {}

    fn request_restart(&self) {}
}

nice_export_clap!(Meter);
nice_export_vst3!(Meter);
