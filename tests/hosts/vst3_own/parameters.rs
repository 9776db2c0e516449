//! The parameters as a host sees them, whichever there are.
#![allow(unsafe_code, reason = "the format's interfaces are unsafe to call")]

use std::collections::HashSet;
use std::time::Duration;

use candlemark_tests::passing::assert_same;
use vst3::Steinberg::Vst::ParameterInfo_::ParameterFlags_::kIsReadOnly;
use vst3::Steinberg::Vst::{
    IEditControllerTrait, IUnitInfo, IUnitInfoTrait, ParamID, ParameterInfo, UnitInfo, kRootUnitId,
};
use vst3::Steinberg::{kInvalidArgument, kResultOk};

use crate::changes::Change;
use crate::instance::Instance;
use crate::material::noises;
use crate::playback::{Placement, blocks};

/// What a host is told of a parameter.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Parameter {
    pub(crate) id: ParamID,
    pub(crate) title: String,
    pub(crate) short_title: String,
    /// What it is measured in; empty for a switch.
    pub(crate) unit: String,
    /// How many steps it has above its lowest; 0 when it has none.
    pub(crate) steps: i32,
    /// What it is at first, from 0 to 1.
    pub(crate) default: f64,
    /// The group that it belongs to.
    pub(crate) group: i32,
    flags: i32,
}

impl Parameter {
    /// A host may show it, and not move it.
    pub(crate) fn is_read_only(&self) -> bool {
        self.flags & kIsReadOnly != 0
    }

    /// A value that it does not have at first, from 0 to 1.
    fn another(&self) -> f64 {
        if self.default < 0.5 { 1.0 } else { 0.0 }
    }
}

fn text(letters: &[u16]) -> String {
    let end = letters.iter().position(|letter| *letter == 0).expect("a text ends");
    String::from_utf16(&letters[..end]).expect("it is a text")
}

/// All parameters, in the plugin's order.
pub(crate) fn parameters(instance: &Instance) -> Vec<Parameter> {
    let controller = instance.controller();
    // SAFETY: a plain question.
    let count = unsafe { controller.getParameterCount() };
    let parameter = |index| {
        // SAFETY: the plugin fills the description, which is plain memory.
        let info = unsafe {
            let mut info: ParameterInfo = std::mem::zeroed();
            assert_eq!(controller.getParameterInfo(index, &raw mut info), kResultOk);
            info
        };
        Parameter {
            id: info.id,
            title: text(&info.title),
            short_title: text(&info.shortTitle),
            unit: text(&info.units),
            steps: info.stepCount,
            default: info.defaultNormalizedValue,
            group: info.unitId,
            flags: info.flags,
        }
    };
    (0..count).map(parameter).collect()
}

/// What a parameter is, from 0 to 1.
pub(crate) fn value(instance: &Instance, id: ParamID) -> f64 {
    // SAFETY: a plain question.
    unsafe { instance.controller().getParamNormalized(id) }
}

/// Changes a parameter as a host does outside of playback, and says whether it was taken.
pub(crate) fn set(instance: &Instance, id: ParamID, value: f64) -> bool {
    // SAFETY: a plain order.
    unsafe { instance.controller().setParamNormalized(id, value) == kResultOk }
}

/// What the plugin writes for a value from 0 to 1, and the value that it reads from that.
fn written_and_read(instance: &Instance, id: ParamID, value: f64) -> (String, f64) {
    let mut letters = [0; 128];
    let mut read = f64::NAN;
    // SAFETY: the memory outlives the calls, and the text ends.
    unsafe {
        assert_eq!(instance.controller().getParamStringByValue(id, value, &raw mut letters), kResultOk);
        let told = instance.controller().getParamValueByString(id, letters.as_mut_ptr(), &raw mut read);
        assert_eq!(told, kResultOk, "it reads what it has written: {:?}", text(&letters));
    }
    (text(&letters), read)
}

fn groups(instance: &Instance) -> HashSet<i32> {
    let units: vst3::ComPtr<IUnitInfo> = instance.controller().cast().expect("it tells its groups");
    // SAFETY: the plugin fills the description, which is plain memory.
    unsafe {
        (0..units.getUnitCount())
            .map(|index| {
                let mut info: UnitInfo = std::mem::zeroed();
                assert_eq!(units.getUnitInfo(index, &raw mut info), kResultOk);
                info.id
            })
            .collect()
    }
}

#[test]
fn each_has_an_identifier_and_a_title_of_its_own() {
    let instance = Instance::new(2);
    let all = parameters(&instance);
    assert!(!all.is_empty());
    let ids: HashSet<ParamID> = all.iter().map(|parameter| parameter.id).collect();
    let titles: HashSet<&str> = all.iter().map(|parameter| parameter.title.as_str()).collect();
    assert_eq!((ids.len(), titles.len()), (all.len(), all.len()), "{all:?}");
    let groups = groups(&instance);
    for parameter in &all {
        assert!(parameter.id < 1 << 31, "the upper half belongs to hosts: {parameter:?}");
        assert!(!parameter.title.is_empty() && !parameter.short_title.is_empty(), "{parameter:?}");
        assert!(parameter.steps >= 0 && (0.0..=1.0).contains(&parameter.default), "{parameter:?}");
        let grouped = parameter.group == kRootUnitId || groups.contains(&parameter.group);
        assert!(grouped, "{parameter:?} is in none of {groups:?}");
        assert_eq!(parameter.flags & kIsReadOnly, 0, "{parameter:?}");
        let is_switch = parameter.steps == 1;
        let (words, _) = written_and_read(&instance, parameter.id, parameter.default);
        let is_choice = !words.chars().any(|letter| letter.is_ascii_digit());
        assert!(
            is_switch || is_choice || !parameter.unit.trim().is_empty(),
            "a figure has its unit: {parameter:?}"
        );
        assert_eq!(value(&instance, parameter.id), parameter.default, "a fresh one: {parameter:?}");
    }
}

#[test]
fn each_reads_what_it_writes() {
    let instance = Instance::new(2);
    for parameter in parameters(&instance) {
        let steps = if parameter.steps == 0 { 10 } else { parameter.steps };
        let mut seen = HashSet::new();
        for step in 0..=steps {
            let value = f64::from(step) / f64::from(steps);
            let (written, read) = written_and_read(&instance, parameter.id, value);
            // The framework computes in single precision.
            assert!((read - value).abs() < 1e-6, "{parameter:?}: {value} as {written:?} is {read}");
            // SAFETY: plain questions.
            let back = unsafe {
                let plain = instance.controller().normalizedParamToPlain(parameter.id, value);
                instance.controller().plainParamToNormalized(parameter.id, plain)
            };
            assert!((back - value).abs() < 1e-6, "{parameter:?}: {value} is {back}");
            seen.insert(written);
        }
        assert_eq!(seen.len(), steps as usize + 1, "each step is written in its own way: {parameter:?}");
    }
}

#[test]
fn they_are_the_same_in_every_instance_and_after_a_reload() {
    let first = Instance::new(2);
    let told = parameters(&first);
    let saved = first.save();
    assert_eq!(parameters(&Instance::new(1)), told, "beside the first");
    drop(first);
    let second = Instance::new(2);
    assert_eq!(parameters(&second), told, "after the first");
    assert!(second.load(&saved));
    assert_eq!(parameters(&second), told, "with the first's state");
}

#[test]
fn a_value_goes_with_the_project() {
    let mut first = Instance::new(2);
    for parameter in parameters(&first) {
        assert!(set(&first, parameter.id, parameter.another()));
        assert_eq!(value(&first, parameter.id), parameter.another(), "{parameter:?}");
    }
    let changed = first.save();
    first.activate(48_000.0);
    let second = Instance::new(2);
    let fresh = second.save();
    assert_ne!(changed, fresh);
    for (saved, instance) in [(&changed, &second), (&fresh, &first)] {
        assert!(instance.load(saved));
        assert_eq!(instance.save(), *saved);
        for parameter in parameters(instance) {
            let expected = if *saved == fresh { parameter.default } else { parameter.another() };
            assert_eq!(value(instance, parameter.id), expected, "{parameter:?}");
        }
    }
}

#[test]
fn what_is_not_one_of_them_is_refused() {
    let instance = Instance::new(2);
    let all = parameters(&instance);
    let before = instance.save();
    let stranger = (0..1000).find(|id| all.iter().all(|parameter| parameter.id != *id)).expect("one is free");
    assert!(!set(&instance, stranger, 1.0));
    for parameter in &all {
        for value in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            assert!(!set(&instance, parameter.id, value), "{parameter:?} takes {value}");
        }
    }
    // SAFETY: the plugin fills the description, which is plain memory.
    let told = unsafe {
        let mut info: ParameterInfo = std::mem::zeroed();
        instance.controller().getParameterInfo(-1, &raw mut info)
    };
    assert_eq!(told, kInvalidArgument);
    assert_eq!(instance.save(), before);
}

/// And the change costs the audio thread no allocation.
#[test]
fn a_change_in_playback_is_taken_and_leaves_the_sound_alone() {
    let mut instance = Instance::new(2);
    instance.activate(48_000.0);
    let all = parameters(&instance);
    let change = |index: usize, frame| {
        let values = all.iter().map(move |parameter| {
            let value = if index.is_multiple_of(2) { parameter.another() } else { parameter.default };
            Change { id: parameter.id, frame, value }
        });
        values.collect::<Vec<_>>()
    };
    let mut played = blocks(20_000, &[512, 100, 0, 64]);
    for (index, block) in played.iter_mut().enumerate() {
        block.changes = change(index, block.frames / 2);
        block.changes.extend(change(index + 1, block.frames.saturating_sub(1)));
        block.changes.push(Change { id: 0x7FFF_FFFF, frame: 0, value: 0.5 });
    }
    let last = played.len();
    let input = noises(2, 1, 20_000);
    let output = instance.play(&input, &played, Placement::Separate);
    assert_same(&output, &input, "parameters that change all the time");
    for parameter in &all {
        let expected = if last.is_multiple_of(2) { parameter.another() } else { parameter.default };
        assert_eq!(value(&instance, parameter.id), expected, "{parameter:?}");
    }
    // While no editor is open, the framework tells each change to a thread that all instances share, and that ends for
    // good when the instance is gone before it has heard. That must not reach the other tests.
    std::thread::sleep(Duration::from_millis(300));
}
