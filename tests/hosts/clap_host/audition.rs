//! Auditions held in the plugin's window, in a CLAP host.

use candlemark_tests::audition::{
    BLOCK, Host, RATE, Restart, Told, sounds_only_while_it_may, the_noise_sounds_only_while_it_is_held,
};
use candlemark_tests::x11::{Parent, on_a_display_of_its_own};
use clack_extensions::render::{PluginRender, RenderMode};
use clack_host::events::event_types::TransportFlags;

use crate::host::{Block, Instance, Placement, playing_at};

/// The host as the test of auditions wants it.
struct Clap(Instance);

impl Host for Clap {
    const RESTARTS: &'static [Restart<Self>] = &[
        Restart { name: "processing is stopped and started", restart: |host| host.0.stop_processing() },
        Restart { name: "it is reset", restart: |host| host.0.reset() },
    ];

    fn activate(&mut self, offline: bool) {
        self.0.deactivate();
        let handle = self.0.plugin().plugin_handle();
        let render: PluginRender = handle.get_extension().expect("it hears of renders");
        let mode = if offline { RenderMode::Offline } else { RenderMode::Realtime };
        render.set(&handle, mode).expect("it takes the mode");
        self.0.activate(RATE);
    }

    fn play(&mut self, input: &[Vec<f32>], told: Told) -> Vec<Vec<f32>> {
        let block = |index: usize| {
            let seconds = told.at_s.unwrap_or(0.0) + (index * BLOCK) as f64 / RATE;
            let mut transport = playing_at(seconds, 120.0);
            transport.flags.set(TransportFlags::IS_PLAYING, told.at_s.is_some());
            transport.flags.set(TransportFlags::IS_RECORDING, told.records);
            Block { frames: BLOCK, transport: Some(transport) }
        };
        let blocks: Vec<Block> = (0..input[0].len() / BLOCK).map(block).collect();
        self.0.play_on(input, &blocks, Placement::Separate)
    }

    fn idle(&mut self) {
        self.0.serve_main_thread();
    }

    fn open_editor(&mut self, parent: u32) {
        self.0.open_editor(parent);
    }

    fn close_editor(&mut self) {
        self.0.close_editor();
    }

    fn load_state(&mut self) {
        let saved = self.0.save_state();
        assert!(self.0.load_state(&saved));
    }
}

#[test]
fn an_audition_sounds_only_while_it_may() {
    on_a_display_of_its_own("audition::an_audition_sounds_only_while_it_may", || {
        let parent = Parent::open(None);
        sounds_only_while_it_may(&mut Clap(Instance::new(2)), &parent);
    });
}

#[test]
fn the_noise_sounds_only_while_it_is_held_and_is_what_it_says() {
    on_a_display_of_its_own("audition::the_noise_sounds_only_while_it_is_held_and_is_what_it_says", || {
        let parent = Parent::open(None);
        the_noise_sounds_only_while_it_is_held(&mut Clap(Instance::new(2)), &parent);
    });
}
