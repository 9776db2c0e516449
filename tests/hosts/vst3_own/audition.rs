//! Auditions held in the plugin's window, in a VST3 host. The framework says too late that there is a render: see
//! `renders`.

use candlemark_tests::audition::{
    Auditions, BLOCK, RATE, Restart, Told, sounds_only_while_it_may, the_noise_sounds_only_while_it_is_held,
};
use vst3::Steinberg::Vst::ProcessContext_::StatesAndFlags_::{kPlaying, kRecording};

use crate::instance::Instance;
use crate::playback::{Block, Placement, blocks};
use crate::settings::Mode;
use crate::transport::playing_at;

impl Auditions for Instance {
    const RESTARTS: &'static [Restart<Self>] =
        &[Restart { name: "processing is stopped and started", restart: Self::stop_processing }];

    fn set_up(&mut self, offline: bool) {
        self.activate_for(if offline { Mode::Offline } else { Mode::RealTime }, RATE);
    }

    fn play_told(&mut self, input: &[Vec<f32>], told: Told) -> Vec<Vec<f32>> {
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
        self.play_on(input, &blocks, Placement::Separate)
    }
}

#[test]
fn an_audition_sounds_only_while_it_may() {
    sounds_only_while_it_may::<Instance>("audition::an_audition_sounds_only_while_it_may");
}

#[test]
fn the_noise_sounds_only_while_it_is_held_and_is_what_it_says() {
    let name = "audition::the_noise_sounds_only_while_it_is_held_and_is_what_it_says";
    the_noise_sounds_only_while_it_is_held::<Instance>(name);
}
