//! The parameters: what a host may show and remember. None touches the sound.
//!
//! What changes the sound (an audition) is no parameter on purpose: neither automation nor a saved state can reach
//! it.

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
use nice_plug::prelude::{BoolParam, IntParam, IntRange, Param, PluginState};

use crate::saved_format::SavedFormat;
use crate::saved_look::SavedLook;
use crate::saved_once::SavedOnce;
use crate::untold::LAST_CHANGE;

/// Whether what sounds is aside.
///
/// It can't be automated: the framework's worker in VST3 takes the host down when a parameter changes in playback while
/// an editor opens or the last instance goes (`event_loop/background_thread.rs`, about line 100).
pub(crate) fn aside() -> BoolParam {
    switch("Aside")
}

/// Whether the song is finished, or about to be.
pub(crate) fn printing() -> BoolParam {
    switch("Printing")
}

/// The song's time, in whole minutes. A parameter, so that the host knows that the project has changed with it.
pub(crate) fn song_time() -> IntParam {
    minutes("Song time", BUDGET_S, BUDGETS_S)
}

/// Work between two rests, in whole minutes.
pub(crate) fn rest_every() -> IntParam {
    minutes("Rest every", REST_EVERY_S, REST_EVERY_LIMITS_S)
}

/// How long a rest takes, in whole minutes.
pub(crate) fn rest_for() -> IntParam {
    minutes("Rest for", REST_FOR_S, REST_FOR_LIMITS_S)
}

/// Where the monitor knob is, of the positions that have names.
pub(crate) fn knob() -> IntParam {
    let last = Knob::ALL.len() as i32 - 1;
    let name = |at| knob_at(at).map_or("", Knob::name);
    let of_name = |text: &str| {
        let at = Knob::ALL.iter().position(|knob| knob.name().eq_ignore_ascii_case(text.trim()))?;
        i32::try_from(at).ok()
    };
    IntParam::new("Monitor knob", Knob::default() as i32, IntRange::Linear { min: 0, max: last })
        .with_value_to_string(Arc::new(move |at| name(at).to_owned()))
        .with_string_to_value(Arc::new(of_name))
        .non_automatable()
}

/// The position that the parameter is at.
pub(crate) fn knob_at(at: i32) -> Option<Knob> {
    usize::try_from(at).ok().and_then(|at| Knob::ALL.get(at).copied())
}

/// Whether the person listens on headphones.
pub(crate) fn headphones() -> BoolParam {
    switch("Headphones")
}

/// The level that is meant at the chair, in whole dBA.
pub(crate) fn meant_level() -> IntParam {
    whole("Meant level", MEANT_DBA, MEANT_LIMITS_DBA, " dBA")
}

/// Marks a place in a lights-out pass when it is pressed: by a controller's button, or by a key that the host sends to it.
/// Counted where the host sets it, on whatever thread: no lock, no allocation.
pub(crate) fn mark(taps: &Arc<AtomicU32>) -> BoolParam {
    let taps = Arc::clone(taps);
    let count = move |pressed| _ = taps.fetch_add(u32::from(pressed), Ordering::Relaxed);
    switch("Mark").with_callback(Arc::new(count))
}

/// How late the hand is that marks, in whole seconds.
pub(crate) fn hand() -> IntParam {
    whole("Hand late by", HAND_S, HAND_LIMITS_S, " s")
}

/// What is off to begin with. No parameter can be automated, for the reason at [`aside`].
fn switch(name: &'static str) -> BoolParam {
    BoolParam::new(name, false).non_automatable()
}

/// A time in whole minutes, of its beginning and its limits in seconds.
fn minutes(name: &'static str, begin_s: f64, limits_s: [f64; 2]) -> IntParam {
    whole(name, begin_s / 60.0, limits_s.map(|seconds| seconds / 60.0), " min")
}

/// What is told in whole steps of a unit.
fn whole(name: &'static str, begin: f64, limits: [f64; 2], unit: &'static str) -> IntParam {
    let [min, max] = limits.map(|limit| limit as i32);
    IntParam::new(name, begin as i32, IntRange::Linear { min, max }).with_unit(unit).non_automatable()
}

/// Counts, round and round, what has changed in the project beside the parameters. The framework has no other way to tell
/// the host that there is something to save (`clap_host_state.mark_dirty`, `IComponentHandler2::setDirty`).
pub(crate) fn changed() -> IntParam {
    IntParam::new("Changed", 0, IntRange::Linear { min: 0, max: LAST_CHANGE })
        .with_unit(" times")
        .non_automatable()
}

/// Completes a state that was saved before there were these parameters, or before the look was kept. The framework leaves
/// what a state does not name as it is, which would carry one project's setting into another.
pub(crate) fn complete(state: &mut PluginState) {
    let switches = ["aside", "printing", "headphones", "mark"].map(|id| (id, ParamValue::Bool(false)));
    let numbers = [
        ("song_time", song_time()),
        ("rest_every", rest_every()),
        ("rest_for", rest_for()),
        ("knob", knob()),
        ("meant_level", meant_level()),
        ("hand", hand()),
        ("changed", changed()),
    ];
    let numbers = numbers.map(|(id, number)| (id, ParamValue::I32(number.default_plain_value())));
    for (id, value) in switches.into_iter().chain(numbers) {
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
