//! What a host's project says that it kept: the plugin takes it or not, and goes on; what it keeps then is what it keeps
//! again.
#![no_main]
#![allow(missing_docs, reason = "the entry point is the fuzzer's")]
#![expect(unsafe_code, reason = "the plugin is linked here, and its entry point is the framework's")]

use std::cell::RefCell;

use clack_extensions::state::PluginState;
use clack_host::entry::EntryDescriptor;
use clack_host::prelude::*;
use libfuzzer_sys::fuzz_target;
use serde_json::Value;

/// Links the plugin.
use candlemark as _;

unsafe extern "C" {
    static clap_entry: EntryDescriptor;
}

struct Shared;
impl SharedHandler<'_> for Shared {
    fn request_restart(&self) {}
    fn request_process(&self) {}
    fn request_callback(&self) {}
}
struct Host;
impl HostHandlers for Host {
    type Shared<'a> = Shared;
    type MainThread<'a> = ();
    type AudioProcessor<'a> = ();
}

fn instance() -> (PluginEntry, PluginInstance<Host>) {
    // SAFETY: this is the plugin's own entry point, made by the framework, and it lives as long as the program.
    let entry = unsafe { PluginEntry::load_from_raw(&clap_entry, c"candlemark") };
    let entry = entry.expect("the plugin is linked here");
    let info = HostInfo::new("Candlemark's fuzzer", "Candlemark project", "", "1").expect("a host");
    let plugin = PluginInstance::new(|()| Shared, |_| (), &entry, c"org.candlemark.meter", &info);
    (entry, plugin.expect("it can be made"))
}

thread_local! {
    static PLUGIN: RefCell<(PluginEntry, PluginInstance<Host>)> = RefCell::new(instance());
}

fn load(plugin: &mut PluginInstance<Host>, bytes: &[u8]) -> bool {
    let handle = plugin.plugin_handle();
    let state: PluginState = handle.get_extension().expect("it has a state");
    state.load(&handle, &mut &bytes[..]).is_ok()
}

fn save(plugin: &mut PluginInstance<Host>) -> Vec<u8> {
    let handle = plugin.plugin_handle();
    let state: PluginState = handle.get_extension().expect("it has a state");
    let mut saved = Vec::new();
    state.save(&handle, &mut saved).expect("its state can be saved");
    saved
}

/// What only the host changes of a saved state: the songs and what was meant are the clerk's too, who works meanwhile.
fn the_hosts(saved: &[u8]) -> Value {
    let mut state: Value = serde_json::from_slice(&saved[8..]).expect("it is JSON");
    let fields = state["fields"].as_object_mut().expect("it has fields");
    assert!(fields.remove("songs").is_some() && fields.remove("meant").is_some());
    state
}

fuzz_target!(|bytes: &[u8]| {
    PLUGIN.with_borrow_mut(|(_, plugin)| {
        // The fuzzer knows the text, and the framework writes its length before it.
        let mut framed = (bytes.len() as u64).to_le_bytes().to_vec();
        framed.extend(bytes);
        load(plugin, &framed);
        load(plugin, bytes);
        let kept = save(plugin);
        assert!(load(plugin, &kept), "what it has saved it takes");
        let again = save(plugin);
        assert_eq!(the_hosts(&again), the_hosts(&kept));
    });
});
