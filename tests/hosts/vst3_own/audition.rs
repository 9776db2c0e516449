//! Auditions held in the plugin's window, in a VST3 host. The framework says too late that there is a render: see
//! `renders`.

use candlemark_tests::audition::{
    BLOCK, Host, RATE, Restart, Told, sounds_only_while_it_may, the_noise_sounds_only_while_it_is_held,
};
use candlemark_tests::x11::{Parent, on_a_display_of_its_own};
use vst3::Steinberg::Vst::ProcessContext_::StatesAndFlags_::{kPlaying, kRecording};

use crate::instance::Instance;
use crate::playback::{Block, Placement, blocks};
use crate::settings::Mode;
use crate::transport::playing_at;

impl Host for Instance {
    const RESTARTS: &'static [Restart<Self>] =
        &[Restart { name: "processing is stopped and started", restart: Self::stop_processing }];

    fn activate(&mut self, offline: bool) {
        self.activate_for(if offline { Mode::Offline } else { Mode::RealTime }, RATE);
    }

    fn play(&mut self, input: &[Vec<f32>], told: Told) -> Vec<Vec<f32>> {
        let from = (told.at_s.unwrap_or(0.0) * RATE).round() as i64;
        let telling = |(index, block)| {
            let mut transport = playing_at(from + (index * BLOCK) as i64, RATE, 120.0);
            if told.at_s.is_none() {
                transport.state &= !kPlaying;
            }
            if told.records {
                transport.state |= kRecording;
            }
            Block { transport: Some(transport), ..block }
        };
        let blocks: Vec<Block> =
            blocks(input[0].len(), &[BLOCK]).into_iter().enumerate().map(telling).collect();
        Self::play_on(self, input, &blocks, Placement::Separate)
    }

    fn idle(&mut self) {
        if self.has_editor() {
            self.editor().serve();
        }
    }

    fn open_editor(&mut self, parent: u32) {
        Self::open_editor(self, parent);
    }

    fn close_editor(&mut self) {
        Self::close_editor(self);
    }

    fn load_state(&mut self) {
        let saved = self.save();
        assert!(self.load(&saved));
    }
}

#[test]
fn an_audition_sounds_only_while_it_may() {
    on_a_display_of_its_own("audition::an_audition_sounds_only_while_it_may", || {
        let parent = Parent::open(None);
        sounds_only_while_it_may(&mut Instance::new(2), &parent);
    });
}

#[test]
fn the_noise_sounds_only_while_it_is_held_and_is_what_it_says() {
    on_a_display_of_its_own("audition::the_noise_sounds_only_while_it_is_held_and_is_what_it_says", || {
        let parent = Parent::open(None);
        the_noise_sounds_only_while_it_is_held(&mut Instance::new(2), &parent);
    });
}
