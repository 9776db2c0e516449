//! The CLAP host as one in which a session lasts.

use clack_extensions::params::{ParamInfoBuffer, ParamInfoFlags, PluginParams};
use clack_host::events::event_types::{ParamValueEvent, TransportFlags};
use clack_host::prelude::*;

use super::{Batch, Block, Instance, Placement, Playback, playing_at};
use crate::endurance::{Lasts, Step};

/// A parameter that a host may move: what it is called by, its lowest and its highest value, and whether it has steps.
#[derive(Clone, Copy)]
struct Parameter {
    id: ClapId,
    range: [f64; 2],
    stepped: bool,
}

fn parameters(instance: &mut Instance) -> Vec<Parameter> {
    let handle = instance.plugin().plugin_handle();
    let params: PluginParams = handle.get_extension().expect("it has parameters");
    let mut buffer = ParamInfoBuffer::new();
    (0..params.count(&handle))
        .filter_map(|index| {
            let info = params.get_info(&handle, index, &mut buffer).expect("it describes each");
            let parameter = Parameter {
                id: info.id,
                range: [info.min_value, info.max_value],
                stepped: info.flags.contains(ParamInfoFlags::IS_STEPPED),
            };
            (!info.flags.contains(ParamInfoFlags::IS_READONLY)).then_some(parameter)
        })
        .collect()
}

/// The steps of a stint, as this format has them.
struct Stint<'a> {
    batch: Batch<'a>,
    steps: std::slice::Iter<'a, Step>,
    parameters: Vec<Parameter>,
    changes: Vec<ParamValueEvent>,
}

impl Playback for Stint<'_> {
    fn next(&mut self, sound: &mut [Vec<f32>]) -> Option<Block> {
        let step = self.steps.next()?;
        self.changes.clear();
        self.changes.extend(step.changes.iter().map(|change| {
            let Parameter { id, range: [least, most], stepped } = self.parameters[change.parameter];
            let value = least + change.value * (most - least);
            let value = if stepped { value.round() } else { value };
            ParamValueEvent::new(change.frame as u32, id, Pckn::match_all(), value)
        }));
        self.batch.next(sound)
    }

    fn changes(&self) -> &[ParamValueEvent] {
        &self.changes
    }

    fn take(&mut self, input: &[Vec<f32>], output: &[Vec<f32>]) {
        self.batch.take(input, output);
    }
}

fn block(step: &Step) -> Block {
    let transport = step.told.map(|told| {
        let mut transport = playing_at(told.at_s, told.tempo);
        transport.flags.set(TransportFlags::IS_PLAYING, told.runs);
        transport
    });
    Block { frames: step.frames, transport }
}

impl Lasts for Instance {
    const FORMAT: &'static str = "CLAP";
    const FILES_AN_OPENING: usize = 0;

    fn parameters(&mut self) -> usize {
        parameters(self).len()
    }

    fn play_steps(
        &mut self,
        input: &[Vec<f32>],
        steps: &[Step],
        placement: Placement,
        stops: bool,
    ) -> Vec<Vec<f32>> {
        let (parameters, blocks) = (parameters(self), steps.iter().map(block).collect::<Vec<_>>());
        let batch = Batch::new(input, &blocks);
        let mut stint = Stint { batch, steps: steps.iter(), parameters, changes: Vec::new() };
        if stops {
            self.play_along(&mut stint, placement, |_| {});
        } else {
            self.play_out(&mut stint, placement);
        }
        stint.batch.output
    }
}
