//! The parameters: what a host may show and remember. None touches the sound.
//!
//! What changes the sound (an audition) is no parameter on purpose: neither automation nor a saved state can reach
//! it.

use std::collections::BTreeMap;
use std::sync::Arc;
use std::sync::atomic::{AtomicU32, Ordering};

use candlemark_session::candle::{
    BUDGET_S, BUDGETS_S, REST_EVERY_LIMITS_S, REST_EVERY_S, REST_FOR_LIMITS_S, REST_FOR_S,
};
use candlemark_session::chair::{Knob, MEANT_DBA, MEANT_LIMITS_DBA};
use candlemark_session::lights_out::{HAND_LIMITS_S, HAND_S};
use candlemark_session::remarks::Meant;
use candlemark_session::song_page::Songs;
use nice_plug::plugin::ParamValue;
use nice_plug::prelude::{BoolParam, IntParam, IntRange, PluginState};

use crate::saved_format::SavedFormat;
use crate::saved_look::SavedLook;
use crate::saved_once::SavedOnce;

/// Whether what sounds is aside.
///
/// It can't be automated: the framework's worker in VST3 takes the host down when a parameter changes in playback while
/// an editor opens or the last instance goes (`event_loop/background_thread.rs`, about line 100).
pub(crate) fn aside() -> BoolParam {
    BoolParam::new("Aside", ASIDE).non_automatable()
}

const ASIDE: bool = false;

/// Whether the song is finished, or about to be.
pub(crate) fn printing() -> BoolParam {
    BoolParam::new("Printing", PRINTING).non_automatable()
}

const PRINTING: bool = false;

/// The song's time, in whole minutes. A parameter, so that the host knows that the project has changed with it.
pub(crate) fn song_time() -> IntParam {
    let [min, max] = BUDGETS_S.map(minutes);
    IntParam::new("Song time", minutes(BUDGET_S), IntRange::Linear { min, max })
        .with_unit(" min")
        .non_automatable()
}

/// Work between two rests, in whole minutes.
pub(crate) fn rest_every() -> IntParam {
    let [min, max] = REST_EVERY_LIMITS_S.map(minutes);
    IntParam::new("Rest every", minutes(REST_EVERY_S), IntRange::Linear { min, max })
        .with_unit(" min")
        .non_automatable()
}

/// How long a rest takes, in whole minutes.
pub(crate) fn rest_for() -> IntParam {
    let [min, max] = REST_FOR_LIMITS_S.map(minutes);
    IntParam::new("Rest for", minutes(REST_FOR_S), IntRange::Linear { min, max })
        .with_unit(" min")
        .non_automatable()
}

/// Where the monitor knob is, of the positions that have names.
pub(crate) fn knob() -> IntParam {
    let last = Knob::ALL.len() as i32 - 1;
    let name =
        |at: i32| usize::try_from(at).ok().and_then(|at| Knob::ALL.get(at)).map_or("", |knob| knob.name());
    let of_name = |text: &str| {
        let at = Knob::ALL.iter().position(|knob| knob.name().eq_ignore_ascii_case(text.trim()))?;
        i32::try_from(at).ok()
    };
    IntParam::new("Monitor knob", KNOB, IntRange::Linear { min: 0, max: last })
        .with_value_to_string(Arc::new(move |at| name(at).to_owned()))
        .with_string_to_value(Arc::new(of_name))
        .non_automatable()
}

const KNOB: i32 = Knob::Quiet as i32;

/// Whether the person listens on headphones.
pub(crate) fn headphones() -> BoolParam {
    BoolParam::new("Headphones", HEADPHONES).non_automatable()
}

const HEADPHONES: bool = false;

/// The level that is meant at the chair, in whole dBA.
pub(crate) fn meant_level() -> IntParam {
    let [min, max] = MEANT_LIMITS_DBA.map(|dba| dba as i32);
    IntParam::new("Meant level", MEANT_DBA as i32, IntRange::Linear { min, max })
        .with_unit(" dBA")
        .non_automatable()
}

/// Marks a place in a lights-out pass when it is pressed: by a controller's button, or by a key that the host sends to it.
/// Counted where the host sets it, on whatever thread: no lock, no allocation.
pub(crate) fn mark(taps: &Arc<AtomicU32>) -> BoolParam {
    let taps = Arc::clone(taps);
    let count = move |pressed| _ = taps.fetch_add(u32::from(pressed), Ordering::Relaxed);
    BoolParam::new("Mark", MARK).with_callback(Arc::new(count)).non_automatable()
}

const MARK: bool = false;

/// How late the hand is that marks, in whole seconds.
pub(crate) fn hand() -> IntParam {
    let [min, max] = HAND_LIMITS_S.map(|seconds| seconds as i32);
    IntParam::new("Hand late by", HAND_S as i32, IntRange::Linear { min, max })
        .with_unit(" s")
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
        ("printing", ParamValue::Bool(PRINTING)),
        ("song_time", ParamValue::I32(minutes(BUDGET_S))),
        ("rest_every", ParamValue::I32(minutes(REST_EVERY_S))),
        ("rest_for", ParamValue::I32(minutes(REST_FOR_S))),
        ("knob", ParamValue::I32(KNOB)),
        ("headphones", ParamValue::Bool(HEADPHONES)),
        ("meant_level", ParamValue::I32(MEANT_DBA as i32)),
        ("mark", ParamValue::Bool(MARK)),
        ("hand", ParamValue::I32(HAND_S as i32)),
    ]);
    for (id, value) in defaults {
        state.params.entry(id.to_owned()).or_insert(value);
    }
    // What has no yardstick, not even an empty one, is no state of ours.
    if state.fields.contains_key("yardstick") {
        state.fields.entry("format".to_owned()).or_insert_with(SavedFormat::first_field);
        state.fields.entry("look".to_owned()).or_insert_with(SavedLook::default_field);
        state.fields.entry("meant".to_owned()).or_insert_with(SavedOnce::<Vec<Meant>>::default_field);
        state.fields.entry("songs".to_owned()).or_insert_with(SavedOnce::<Songs>::default_field);
    }
}
