//! Sound through the plugin, block by block.
#![allow(unsafe_code, reason = "one memory as input and output")]

use clack_host::events::event_types::{ParamValueEvent, TransportEvent};
use clack_host::prelude::*;
use clack_host::process::ProcessStatus;

use super::callbacks::Host;
use crate::passing::{LEFT_OVER, Placement, assert_same, cut};

/// The longest block that the host says it plays, in frames.
pub(crate) const LONGEST_BLOCK: usize = 8192;

/// One block of a host's playback.
pub struct Block {
    /// Its length.
    pub frames: usize,
    /// What the host says of its transport; nothing at all is allowed.
    pub transport: Option<TransportEvent>,
}

/// Cuts `frames` into blocks of the sizes in turn, over and over, without a transport.
pub fn blocks(frames: usize, sizes: &[usize]) -> Vec<Block> {
    cut(frames, sizes).into_iter().map(|frames| Block { frames, transport: None }).collect()
}

/// What a host plays, and what becomes of it. It is called on the audio thread.
pub trait Playback: Send {
    /// The next block, whose sound is appended to each of the channels, which are empty. `None` at the end.
    fn next(&mut self, sound: &mut [Vec<f32>]) -> Option<Block>;

    /// Parameters that move in the block that was given last, in their order.
    fn changes(&self) -> &[ParamValueEvent] {
        &[]
    }

    /// Takes what came out of the block.
    fn take(&mut self, input: &[Vec<f32>], output: &[Vec<f32>]);
}

/// A whole sound and the blocks in which it is played, both known beforehand.
pub struct Batch<'a> {
    input: &'a [Vec<f32>],
    blocks: std::slice::Iter<'a, Block>,
    /// What came out so far.
    pub output: Vec<Vec<f32>>,
}

impl<'a> Batch<'a> {
    /// Nothing of it played yet.
    pub fn new(input: &'a [Vec<f32>], blocks: &'a [Block]) -> Self {
        Self { input, blocks: blocks.iter(), output: vec![Vec::new(); input.len()] }
    }
}

impl Playback for Batch<'_> {
    fn next(&mut self, sound: &mut [Vec<f32>]) -> Option<Block> {
        let &Block { frames, transport } = self.blocks.next()?;
        let start = self.output[0].len();
        for (sound, input) in sound.iter_mut().zip(self.input) {
            sound.extend_from_slice(&input[start..start + frames]);
        }
        Some(Block { frames, transport })
    }

    fn take(&mut self, _: &[Vec<f32>], output: &[Vec<f32>]) {
        for (whole, output) in self.output.iter_mut().zip(output) {
            whole.extend_from_slice(output);
        }
    }
}

/// Plays until there is no more, each block to all of `processors` by turns, as a host plays its buses; what came out
/// of the last one is taken. `played` counts the frames since the plugins were set up.
pub(crate) fn run(
    processors: &mut [&mut StartedPluginAudioProcessor<Host>],
    channels: usize,
    playback: &mut impl Playback,
    placement: Placement,
    played: &mut u64,
) {
    let mut buffers = Buffers::new(channels);
    loop {
        buffers.sound.iter_mut().for_each(Vec::clear);
        let Some(block) = playback.next(&mut buffers.sound) else { return };
        for processor in &mut *processors {
            buffers.play(processor, &block, playback.changes(), placement, *played);
        }
        playback.take(&buffers.sound, &buffers.result);
        *played += block.frames as u64;
    }
}

/// A host's memory for one bus.
struct Buffers {
    sound: Vec<Vec<f32>>,
    source: Vec<Vec<f32>>,
    result: Vec<Vec<f32>>,
    input_ports: AudioPorts,
    output_ports: AudioPorts,
}

impl Buffers {
    fn new(channels: usize) -> Self {
        let [sound, source, result] = [(); 3].map(|()| vec![Vec::new(); channels]);
        let [input_ports, output_ports] = [(); 2].map(|()| AudioPorts::with_capacity(channels, 1));
        Self { sound, source, result, input_ports, output_ports }
    }

    /// Plays a block of the sound through a plugin.
    fn play(
        &mut self,
        processor: &mut StartedPluginAudioProcessor<Host>,
        &Block { frames, transport }: &Block,
        changes: &[ParamValueEvent],
        placement: Placement,
        played: u64,
    ) {
        let Self { sound, source, result, input_ports, output_ports } = self;
        for ((sound, source), result) in sound.iter().zip(&mut *source).zip(&mut *result) {
            assert_eq!(sound.len(), frames, "the sound is as long as the block");
            source.clone_from(sound);
            match placement {
                Placement::InPlace => result.clone_from(sound),
                Placement::Separate => {
                    result.clear();
                    result.resize(frames, LEFT_OVER);
                }
            }
        }
        let mut outputs = output_ports.with_output_buffers([AudioPortBuffer {
            latency: 0,
            channels: AudioPortBufferType::f32_output_only(result.iter_mut().map(|channel| &mut channel[..])),
        }]);
        let ours = outputs.as_raw_buffers().to_vec();
        let inputs = match placement {
            // SAFETY: these are the buffers of `outputs`, which live as long. That input and output are the same
            // memory is what CLAP calls in-place processing; nobody else looks at it meanwhile.
            Placement::InPlace => unsafe { InputAudioBuffers::from_raw_buffers(&ours, frames as u32) },
            Placement::Separate => input_ports.with_input_buffers([AudioPortBuffer {
                latency: 0,
                channels: AudioPortBufferType::f32_input_only(
                    source.iter_mut().map(|channel| InputChannel::variable(&mut channel[..])),
                ),
            }]),
        };
        let status = processor
            .process(
                &inputs,
                &mut outputs,
                &InputEvents::from(&changes),
                &mut OutputEvents::void(),
                Some(played),
                transport.as_ref(),
            )
            .expect("every block is processed");
        if frames > 0 {
            assert_eq!(status, ProcessStatus::Continue, "put to sleep, a meter would lose the song's clock");
        }
        assert_same(source, sound, "the plugin has written over its input");
    }
}
