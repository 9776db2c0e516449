//! What the plugin says of itself.

use clack_extensions::audio_ports_config::{AudioPortsConfigBuffer, PluginAudioPortsConfig};
use clack_extensions::latency::PluginLatency;
use clack_extensions::params::{ParamInfoBuffer, ParamInfoFlags, PluginParams};

use crate::host::{ID, Instance, load};

#[test]
fn it_is_one_plugin_with_its_own_name() {
    let entry = load();
    let factory = entry.get_plugin_factory().expect("it has a factory");
    assert_eq!(factory.plugin_count(), 1);
    let descriptor = factory.plugin_descriptor(0).expect("it describes itself");
    assert_eq!(descriptor.id(), Some(ID));
    assert_eq!(descriptor.name(), Some(c"Candlemark"));
    assert_eq!(descriptor.vendor(), Some(c"Candlemark project"));
    let features: Vec<_> = descriptor.features().collect();
    for feature in [c"audio-effect", c"analyzer", c"utility", c"stereo", c"mono"] {
        assert!(features.contains(&feature), "{feature:?} is not among {features:?}");
    }
}

#[test]
fn it_adds_no_latency() {
    let mut instance = Instance::new(2);
    for rate in [44_100.0, 192_000.0] {
        instance.activate(rate);
        let handle = instance.plugin().plugin_handle();
        let latency: PluginLatency = handle.get_extension().expect("it tells its latency");
        assert_eq!(latency.get(&handle), 0);
    }
}

#[test]
fn it_takes_stereo_first_and_mono_as_well() {
    let mut instance = Instance::new(2);
    let handle = instance.plugin().plugin_handle();
    let configs: PluginAudioPortsConfig = handle.get_extension().expect("it has channel settings");
    let mut buffer = AudioPortsConfigBuffer::new();
    let counts: Vec<_> = (0..configs.count(&handle))
        .map(|index| {
            let config = configs.get(&handle, index, &mut buffer).expect("the setting is there");
            assert_eq!((config.input_port_count, config.output_port_count), (1, 1));
            let (input, output) =
                (config.main_input.expect("an input"), config.main_output.expect("an output"));
            (input.channel_count, output.channel_count)
        })
        .collect();
    assert_eq!(counts, [(2, 2), (1, 1)]);
}

/// Projects name parameters by these, so they are for good.
#[test]
fn its_parameters_are_for_the_project_and_none_can_be_automated() {
    let mut instance = Instance::new(2);
    let handle = instance.plugin().plugin_handle();
    let parameters: PluginParams = handle.get_extension().expect("it has parameters");
    let mut buffer = ParamInfoBuffer::new();
    let mut shown = [0; 64];
    let told: Vec<(String, f64, String)> = (0..parameters.count(&handle))
        .map(|index| {
            let info = parameters.get_info(&handle, index, &mut buffer).expect("it is described");
            assert!(!info.flags.contains(ParamInfoFlags::IS_AUTOMATABLE));
            let value = parameters.get_value(&handle, info.id).expect("it has a value");
            assert_eq!(value, info.default_value);
            let name = String::from_utf8_lossy(info.name).into_owned();
            let words = parameters.value_to_text(&handle, info.id, value, &mut shown).expect("it is told");
            (name, info.max_value - info.min_value, String::from_utf8_lossy(words).into_owned())
        })
        .collect();
    let expected = [
        ("Aside", 1.0, "Off"),
        ("Printing", 1.0, "Off"),
        // 15 minutes to 8 hours,
        ("Song time", 465.0, "120 min"),
        // 20 to 60 minutes, 5 to 30,
        ("Rest every", 40.0, "45 min"),
        ("Rest for", 25.0, "12 min"),
        // quiet, normal, loud,
        ("Monitor knob", 2.0, "quiet"),
        ("Headphones", 1.0, "Off"),
        // 50 to 80 dBA,
        ("Meant level", 30.0, "65 dBA"),
        ("Mark", 1.0, "Off"),
        // none to 5 seconds.
        ("Hand late by", 5.0, "2 s"),
        // what has changed beside these, round and round.
        ("Changed", 999.0, "0 times"),
    ];
    assert_eq!(told, expected.map(|(name, reach, words)| (name.to_owned(), reach, words.to_owned())));
}
