//! The parameters: what a host may show and remember. None touches the sound.
//!
//! What changes the sound (an audition) is no parameter on purpose: neither automation nor a saved state can reach
//! it.

use std::collections::BTreeMap;

use candlemark_session::candle::{BUDGET_S, BUDGETS_S};
use nice_plug::plugin::ParamValue;
use nice_plug::prelude::{BoolParam, IntParam, IntRange, PluginState};

use crate::saved_look::SavedLook;
use crate::saved_meant::SavedMeant;

/// Whether what sounds is aside.
///
/// It can't be automated: the framework's worker in VST3 takes the host down when a parameter changes in playback while
/// an editor opens or the last instance goes (`event_loop/background_thread.rs`, about line 100).
pub(crate) fn aside() -> BoolParam {
    BoolParam::new("Aside", ASIDE).non_automatable()
}

const ASIDE: bool = false;

/// The song's time, in whole minutes. A parameter, so that the host knows that the project has changed with it.
pub(crate) fn song_time() -> IntParam {
    let [min, max] = BUDGETS_S.map(minutes);
    IntParam::new("Song time", minutes(BUDGET_S), IntRange::Linear { min, max })
        .with_unit(" min")
        .non_automatable()
}

fn minutes(seconds: f64) -> i32 {
    (seconds / 60.0) as i32
}

/// Completes a state that was saved before there were these parameters, or before the look was kept. The framework leaves
/// what a state does not name as it is, which would carry one project's setting into another.
pub(crate) fn complete(state: &mut PluginState) {
    let defaults = BTreeMap::from([
        ("aside", ParamValue::Bool(ASIDE)),
        ("song_time", ParamValue::I32(minutes(BUDGET_S))),
    ]);
    for (id, value) in defaults {
        state.params.entry(id.to_owned()).or_insert(value);
    }
    // What has no yardstick, not even an empty one, is no state of ours.
    if state.fields.contains_key("yardstick") {
        state.fields.entry("look".to_owned()).or_insert_with(SavedLook::default_field);
        state.fields.entry("meant".to_owned()).or_insert_with(SavedMeant::default_field);
    }
}
