//! What the plugin says of itself.
#![allow(unsafe_code, reason = "the format's interfaces are unsafe to call")]

use std::ffi::{CStr, c_char};

use vst3::Steinberg::Vst::SpeakerArr::{k51, kStereo};
use vst3::Steinberg::Vst::{
    BusInfo, BusTypes_, IAudioProcessorTrait, IComponentTrait, MediaTypes_, SymbolicSampleSizes_,
};
use vst3::Steinberg::{kResultFalse, kResultOk};

use crate::instance::{AUDIO, INPUT, Instance, OUTPUT};
use crate::material::noises;
use crate::module::Module;
use crate::playback::{Placement, blocks};
use crate::settings::speakers;

/// The identifier under which projects know the plugin.
const ID: &[u8; 16] = b"CandlemarkMeter1";

fn text(letters: &[c_char]) -> String {
    let bytes: Vec<u8> = letters.iter().map(|letter| *letter as u8).collect();
    CStr::from_bytes_until_nul(&bytes).expect("it ends").to_str().expect("it is a text").to_owned()
}

#[test]
fn it_is_one_plugin_with_its_own_name() {
    let classes = Module::load().classes();
    assert_eq!(classes.len(), 1);
    assert_eq!(classes[0].cid.map(|byte| byte as u8), *ID);
    assert_eq!(text(&classes[0].name), "Candlemark");
    assert_eq!(text(&classes[0].category), "Audio Module Class");
}

fn bus(instance: &Instance, direction: i32) -> BusInfo {
    let mut info =
        BusInfo { mediaType: 0, direction: 0, channelCount: 0, name: [0; 128], busType: 0, flags: 0 };
    // SAFETY: the description outlives the call.
    let told = unsafe { instance.component().getBusInfo(AUDIO, direction, 0, &raw mut info) };
    assert_eq!(told, kResultOk);
    info
}

#[test]
fn it_has_one_bus_in_and_one_out_stereo_first_and_mono_as_well() {
    let mut instance = Instance::new(2);
    for channels in [2, 1, 2] {
        instance.set_channels(channels);
        for direction in [INPUT, OUTPUT] {
            let info = bus(&instance, direction);
            assert_eq!(info.channelCount, channels as i32);
            assert_eq!(info.busType, BusTypes_::kMain as i32);
            let mut arrangement = 0;
            // SAFETY: the variable outlives the call.
            let told = unsafe { instance.processor().getBusArrangement(direction, 0, &raw mut arrangement) };
            assert_eq!((told, arrangement), (kResultOk, speakers(channels)));
        }
    }
    // SAFETY: plain questions.
    let events = unsafe { instance.component().getBusCount(MediaTypes_::kEvent as i32, INPUT) };
    assert_eq!(events, 0, "it takes no notes");
}

#[test]
fn it_refuses_what_it_has_no_setting_for() {
    let instance = Instance::new(2);
    for (mut input, mut output) in [(k51, k51), (kStereo, speakers(1)), (speakers(1), kStereo)] {
        // SAFETY: it is not active, and the descriptions outlive the call.
        let taken = unsafe { instance.processor().setBusArrangements(&raw mut input, 1, &raw mut output, 1) };
        assert_eq!(taken, kResultFalse, "{input:b} in and {output:b} out");
    }
    assert_eq!(bus(&instance, INPUT).channelCount, 2, "it stays as it was");
}

#[test]
fn it_takes_single_precision_alone() {
    let instance = Instance::new(2);
    for (size, answer) in
        [(SymbolicSampleSizes_::kSample32, kResultOk), (SymbolicSampleSizes_::kSample64, kResultFalse)]
    {
        // SAFETY: a plain question.
        assert_eq!(unsafe { instance.processor().canProcessSampleSize(size as i32) }, answer);
    }
}

#[test]
fn it_adds_no_latency_and_no_tail() {
    let mut instance = Instance::new(2);
    for rate in [44_100.0, 192_000.0] {
        instance.activate(rate);
        instance.play(&noises(2, 1, 10_000), &blocks(10_000, &[500]), Placement::InPlace);
        // SAFETY: plain questions.
        let added =
            unsafe { [instance.processor().getLatencySamples(), instance.processor().getTailSamples()] };
        assert_eq!(added, [0, 0]);
    }
}
