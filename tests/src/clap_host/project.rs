//! What the host's project keeps of an instance.

use clack_extensions::state::PluginState;
use serde_json::{Value, json};

use super::Instance;
use crate::hosting::Hosts;

impl Instance {
    /// The instance's state, as the project would keep it.
    pub fn save_state(&mut self) -> Vec<u8> {
        let handle = self.plugin().plugin_handle();
        let state: PluginState = handle.get_extension().expect("it has a state");
        let mut saved = Vec::new();
        state.save(&handle, &mut saved).expect("its state can be saved");
        saved
    }

    /// Gives the instance a state that a project kept. Whether the plugin took it.
    pub fn load_state(&mut self, saved: &[u8]) -> bool {
        let handle = self.plugin().plugin_handle();
        let state: PluginState = handle.get_extension().expect("it has a state");
        state.load(&handle, &mut &saved[..]).is_ok()
    }
}

impl Hosts for Instance {
    fn serve(&mut self) {
        self.serve_main_thread();
    }

    fn open(&mut self, parent: u32) {
        self.open_editor(parent);
    }

    fn close(&mut self) {
        self.close_editor();
    }

    fn save(&mut self) -> Vec<u8> {
        self.save_state()
    }

    fn load(&mut self, saved: &[u8]) -> bool {
        self.load_state(saved)
    }
}

/// A state as the framework writes it: the length, then JSON whose fields are JSON again.
pub fn framed(state: &Value) -> Vec<u8> {
    let text = state.to_string();
    let mut saved = (text.len() as u64).to_le_bytes().to_vec();
    saved.extend(text.bytes());
    saved
}

/// A state with something for a yardstick: its text, or what is none.
pub fn with_yardstick(field: &Value) -> Vec<u8> {
    framed(&json!({ "version": "0.1.0", "params": {}, "fields": { "yardstick": field.to_string() } }))
}
