//! A session that lasts, in the VST3 host.

use std::collections::BTreeMap;

use candlemark_tests::endurance::{Lasts, Step, lasts};
use candlemark_tests::hosting::Hosts as _;
use vst3::Steinberg::Vst::ParamID;
use vst3::Steinberg::Vst::ProcessContext_::StatesAndFlags_::kPlaying;

use crate::changes::Change;
use crate::instance::Instance;
use crate::parameters::{parameters, set, value};
use crate::playback::{Block, Pace, Placement};
use crate::transport::playing_at;

/// Those that a host may move.
fn movable(instance: &Instance) -> Vec<ParamID> {
    let all = parameters(instance).into_iter();
    all.filter(|parameter| !parameter.is_read_only()).map(|parameter| parameter.id).collect()
}

impl Lasts for Instance {
    const FORMAT: &'static str = "VST3";
    /// As `Editor::close` says.
    const FILES_AN_OPENING: usize = 2;

    fn parameters(&mut self) -> usize {
        movable(self).len()
    }

    fn play_steps(
        &mut self,
        input: &[Vec<f32>],
        steps: &[Step],
        placement: Placement,
        stops: bool,
    ) -> Vec<Vec<f32>> {
        // Moved on the main thread and then handed on with a block, as the format wants it of what can't be automated. (Moved
        // by the audio thread alone, a parameter takes the framework a task on a thread of its own, which ends in a panic
        // where the editor opens or closes at that moment: docs/decisions/0002.)
        let changes = steps.iter().flat_map(|step| &step.changes);
        let moved: BTreeMap<usize, f64> = changes.map(|change| (change.parameter, change.value)).collect();
        let (movable, rate) = (movable(self), self.settings.expect("it is active").sample_rate);
        for (parameter, value) in &moved {
            assert!(set(self, movable[*parameter], *value), "it takes a value from its host");
        }
        let blocks: Vec<Block> = steps
            .iter()
            .map(|step| Block {
                frames: step.frames,
                transport: step.told.map(|told| {
                    let mut transport = playing_at((told.at_s * rate).round() as i64, rate, told.tempo);
                    if !told.runs {
                        transport.state &= !kPlaying;
                    }
                    transport
                }),
                changes: step
                    .changes
                    .iter()
                    .map(|change| Change {
                        id: movable[change.parameter],
                        frame: change.frame,
                        value: value(self, movable[change.parameter]),
                    })
                    .collect(),
            })
            .collect();
        if stops {
            self.play_beside(input, &blocks, placement, Pace::Fast, Self::serve)
        } else {
            self.play_on(input, &blocks, placement)
        }
    }
}

#[test]
fn a_session_lasts_and_nothing_grows() {
    lasts::<Instance>("endurance::a_session_lasts_and_nothing_grows");
}
