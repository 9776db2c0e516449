//! The CLAP host as one in which auditions are held.

use clack_extensions::render::RenderMode;
use clack_host::events::event_types::TransportFlags;

use super::{Block, Instance, playing_at};
use crate::audition::{Auditions, BLOCK, RATE, Restart, Told};
use crate::passing::Placement;

impl Auditions for Instance {
    const RESTARTS: &'static [Restart<Self>] = &[
        Restart { name: "processing is stopped and started", restart: Self::stop_processing },
        Restart { name: "it is reset", restart: Self::reset },
    ];

    fn set_up(&mut self, offline: bool) {
        self.activate_for(if offline { RenderMode::Offline } else { RenderMode::Realtime }, RATE);
    }

    fn play_told(&mut self, input: &[Vec<f32>], told: Told) -> Vec<Vec<f32>> {
        let block = |index: usize| {
            let seconds = told.at_s.unwrap_or(0.0) + (index * BLOCK) as f64 / RATE;
            let mut transport = playing_at(seconds, 120.0);
            transport.flags.set(TransportFlags::IS_PLAYING, told.at_s.is_some());
            transport.flags.set(TransportFlags::IS_RECORDING, told.records);
            Block { frames: BLOCK, transport: Some(transport) }
        };
        let blocks: Vec<Block> = (0..input[0].len() / BLOCK).map(block).collect();
        self.play_on(input, &blocks, Placement::Separate)
    }
}
