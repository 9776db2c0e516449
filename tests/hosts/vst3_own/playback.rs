//! Sound through an instance, block by block, on a thread of its own.
#![allow(unsafe_code, reason = "the format's interfaces are unsafe to call, and its buffers are pointers")]

use std::sync::mpsc::{self, RecvTimeoutError};
use std::thread;
use std::time::{Duration, Instant};

pub(crate) use candlemark_tests::passing::Placement;
use candlemark_tests::passing::{LEFT_OVER, Passes, cut};
use vst3::Steinberg::Vst::SymbolicSampleSizes_::kSample32;
use vst3::Steinberg::Vst::{
    AudioBusBuffers, AudioBusBuffers__type0, IAudioProcessor, IAudioProcessorTrait, IParameterChanges,
    ProcessContext, ProcessData,
};
use vst3::Steinberg::kResultOk;
use vst3::{ComPtr, ComWrapper};

use crate::application::Handler;
use crate::changes::{Change, Changes};
use crate::instance::Instance;
use crate::settings::{LONGEST_FRAMES, Settings};

/// How fast the blocks come.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Pace {
    /// As a sound card wants them.
    OfSound,
    /// One right after the other.
    Fast,
}

/// One block of a host's playback.
#[derive(Clone)]
pub(crate) struct Block {
    pub(crate) frames: usize,
    /// What the host says of its transport; nothing at all is allowed.
    pub(crate) transport: Option<ProcessContext>,
    /// Parameters that change in it.
    pub(crate) changes: Vec<Change>,
}

/// Cuts `frames` into blocks of the sizes in turn, over and over, without a transport.
pub(crate) fn blocks(frames: usize, sizes: &[usize]) -> Vec<Block> {
    let block = |frames| Block { frames, transport: None, changes: Vec::new() };
    cut(frames, sizes).into_iter().map(block).collect()
}

impl Passes for Instance {
    fn new(channels: usize) -> Self {
        Self::new(channels)
    }

    fn set_channels(&mut self, channels: usize) {
        Self::set_channels(self, channels);
    }

    fn activate(&mut self, sample_rate: f64) {
        Self::activate(self, sample_rate);
    }

    fn play(&mut self, input: &[Vec<f32>], sizes: &[usize], placement: Placement) -> Vec<Vec<f32>> {
        Self::play(self, input, &blocks(input[0].len(), sizes), placement)
    }
}

impl Instance {
    /// Plays `input` through it and gives what came out. Every block must be processed. Processing stops with its end.
    pub(crate) fn play(
        &mut self,
        input: &[Vec<f32>],
        blocks: &[Block],
        placement: Placement,
    ) -> Vec<Vec<f32>> {
        self.play_beside(input, blocks, placement, Pace::Fast, |_| {})
    }

    /// The same, in a pace, while the main thread does `beside` over and over.
    pub(crate) fn play_beside(
        &mut self,
        input: &[Vec<f32>],
        blocks: &[Block],
        placement: Placement,
        pace: Pace,
        beside: impl FnMut(&mut Self),
    ) -> Vec<Vec<f32>> {
        let output = self.process(input, blocks, placement, pace, beside);
        self.stop_processing();
        output
    }

    /// As [`Instance::play`], but that processing goes on with the next call.
    pub(crate) fn play_on(
        &mut self,
        input: &[Vec<f32>],
        blocks: &[Block],
        placement: Placement,
    ) -> Vec<Vec<f32>> {
        self.process(input, blocks, placement, Pace::Fast, |_| {})
    }

    fn process(
        &mut self,
        input: &[Vec<f32>],
        blocks: &[Block],
        placement: Placement,
        pace: Pace,
        mut beside: impl FnMut(&mut Self),
    ) -> Vec<Vec<f32>> {
        assert_eq!(input.len(), self.channels);
        let settings = self.settings.expect("it is active");
        self.start_processing();
        let player = Player { processor: self.processor().clone(), handler: self.handler.clone(), settings };
        thread::scope(|scope| {
            let (ended, end) = mpsc::channel::<()>();
            let audio_thread = scope.spawn(move || {
                let _ended = ended;
                player.play(input, blocks, placement, pace)
            });
            while end.recv_timeout(Duration::from_millis(2)) == Err(RecvTimeoutError::Timeout) {
                beside(self);
            }
            audio_thread.join().expect("the audio thread ends well")
        })
    }
}

/// What the audio thread has.
struct Player {
    processor: ComPtr<IAudioProcessor>,
    handler: ComWrapper<Handler>,
    settings: Settings,
}

impl Player {
    fn play(&self, input: &[Vec<f32>], blocks: &[Block], placement: Placement, pace: Pace) -> Vec<Vec<f32>> {
        let channels = input.len();
        let mut source = vec![vec![0.0; LONGEST_FRAMES]; channels];
        let mut result = vec![vec![0.0; LONGEST_FRAMES]; channels];
        let mut output = vec![Vec::new(); channels];
        let begun = Instant::now();
        let mut start = 0;
        for block in blocks {
            let end = start + block.frames;
            for channel in 0..channels {
                let sound = &input[channel][start..end];
                source[channel][..block.frames].copy_from_slice(sound);
                match placement {
                    Placement::InPlace => result[channel][..block.frames].copy_from_slice(sound),
                    Placement::Separate => result[channel].fill(LEFT_OVER),
                }
            }
            self.process(block, placement, &mut source, &mut result);
            for (channel, whole) in output.iter_mut().enumerate() {
                whole.extend_from_slice(&result[channel][..block.frames]);
                let kept = source[channel].iter().zip(&input[channel][start..end]);
                assert!({ kept }.all(|(now, then)| now.to_bits() == then.to_bits()), "the input was changed");
            }
            start = end;
            if pace == Pace::OfSound {
                let due = Duration::from_secs_f64(start as f64 / self.settings.sample_rate);
                thread::sleep(due.saturating_sub(begun.elapsed()));
            }
        }
        output
    }

    /// Has one block processed: `result` holds what came out, and with [`Placement::InPlace`] what goes in.
    fn process(&self, block: &Block, placement: Placement, source: &mut [Vec<f32>], result: &mut [Vec<f32>]) {
        let pointers =
            |memory: &mut [Vec<f32>]| -> Vec<*mut f32> { memory.iter_mut().map(Vec::as_mut_ptr).collect() };
        let mut outputs = pointers(result);
        let mut inputs = if placement == Placement::InPlace { outputs.clone() } else { pointers(source) };
        let [mut input_bus, mut output_bus] = [&mut inputs, &mut outputs].map(|channels| AudioBusBuffers {
            numChannels: channels.len() as i32,
            silenceFlags: 0,
            __field0: AudioBusBuffers__type0 { channelBuffers32: channels.as_mut_ptr() },
        });
        // A block without frames is the format's way to hand on parameters alone, and has no busses.
        let busses = i32::from(block.frames > 0);
        let one = |bus: &mut AudioBusBuffers| if busses == 1 { &raw mut *bus } else { std::ptr::null_mut() };
        let edited = self.handler.take_unplayed();
        let edited = edited.into_iter().map(|(id, value)| Change { id, frame: 0, value });
        let changes: Vec<Change> = edited.chain(block.changes.iter().copied()).collect();
        let changes = (!changes.is_empty()).then(|| Changes::new(&changes));
        let listed = changes.as_ref().and_then(ComWrapper::as_com_ref::<IParameterChanges>);
        let mut transport = block.transport;
        let mut data = ProcessData {
            processMode: self.settings.mode.code(),
            symbolicSampleSize: kSample32 as i32,
            numSamples: block.frames as i32,
            numInputs: busses,
            numOutputs: busses,
            inputs: one(&mut input_bus),
            outputs: one(&mut output_bus),
            inputParameterChanges: listed.map_or(std::ptr::null_mut(), |listed| listed.as_ptr()),
            outputParameterChanges: std::ptr::null_mut(),
            inputEvents: std::ptr::null_mut(),
            outputEvents: std::ptr::null_mut(),
            processContext: transport.as_mut().map_or(std::ptr::null_mut(), |transport| &raw mut *transport),
        };
        // SAFETY: every pointer is to memory that lives in this function or in its caller, of `frames` samples and
        // more, and that nobody else touches meanwhile. That input and output may be the same memory is the format's.
        let processed = unsafe { self.processor.process(&raw mut data) };
        assert_eq!(processed, kResultOk, "every block is processed");
        assert_eq!(output_bus.silenceFlags, 0, "it calls sound silent, which a host would then leave out");
    }
}
