//! A small CLAP host: one instance of the built plugin, its settings, and sound through it.
#![allow(
    unsafe_code,
    reason = "loading a library, one memory as input and output, and a window that must outlive another"
)]

use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;

use candlemark_tests::paths;
use clack_extensions::audio_ports_config::{AudioPortsConfigBuffer, PluginAudioPortsConfig};
use clack_extensions::gui::{GuiApiType, GuiConfiguration, GuiSize, HostGui, HostGuiImpl, PluginGui, Window};
use clack_host::events::event_types::TransportEvent;
use clack_host::prelude::*;
use clack_host::process::{ProcessStatus, StoppedPluginAudioProcessor};

/// The identifier under which projects know the plugin.
pub(crate) const ID: &std::ffi::CStr = c"org.candlemark.meter";

/// The built plugin, loaded. Loading and unloading is no business of tests that run at the same time.
pub(crate) fn load() -> PluginEntry {
    static LOADING: Mutex<()> = Mutex::new(());
    let path = paths::clap_plugin();
    let _alone = LOADING.lock().unwrap();
    // SAFETY: the library is the project's own plugin, and its entry point is made by the framework.
    unsafe { PluginEntry::load(&path) }
        .unwrap_or_else(|error| panic!("can't load {}: {error}", path.display()))
}

/// What the plugin may call of the host.
pub(crate) struct Host;

/// What it may call from any thread.
#[derive(Default)]
pub(crate) struct Shared {
    main_thread_wanted: AtomicBool,
}

impl HostHandlers for Host {
    type Shared<'a> = Shared;
    type MainThread<'a> = ();
    type AudioProcessor<'a> = ();

    fn declare_extensions(builder: &mut HostExtensions<Self>, _: &Self::Shared<'_>) {
        builder.register::<HostGui>();
    }
}

impl SharedHandler<'_> for Shared {
    fn request_restart(&self) {}
    fn request_process(&self) {}
    fn request_callback(&self) {
        self.main_thread_wanted.store(true, Ordering::Release);
    }
}

impl HostGuiImpl for Shared {
    fn resize_hints_changed(&self) {}
    fn request_resize(&self, _: GuiSize) -> Result<(), HostError> {
        Ok(())
    }
    fn request_show(&self) -> Result<(), HostError> {
        Ok(())
    }
    fn request_hide(&self) -> Result<(), HostError> {
        Ok(())
    }
    fn closed(&self, _: bool) {}
}

/// Where the host puts a plugin's output.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Placement {
    /// Over its input.
    InPlace,
    /// Into memory of its own.
    Separate,
}

/// One block of a host's playback.
pub(crate) struct Block {
    pub(crate) frames: usize,
    /// What the host says of its transport; nothing at all is allowed.
    pub(crate) transport: Option<TransportEvent>,
}

/// Cuts `frames` into blocks of the sizes in turn, over and over, without a transport.
pub(crate) fn blocks(frames: usize, sizes: &[usize]) -> Vec<Block> {
    assert!(sizes.iter().any(|&size| size > 0));
    let mut left = frames;
    let mut blocks = Vec::new();
    for &size in sizes.iter().cycle() {
        if left == 0 {
            break;
        }
        let frames = size.min(left);
        left -= frames;
        blocks.push(Block { frames, transport: None });
    }
    blocks
}

/// One instance of the plugin in the host.
pub(crate) struct Instance {
    plugin: PluginInstance<Host>,
    processor: Option<StoppedPluginAudioProcessor<Host>>,
    channels: usize,
    _entry: PluginEntry,
}

impl Instance {
    /// Makes an instance with one channel or two.
    pub(crate) fn new(channels: usize) -> Self {
        let entry = load();
        let info = HostInfo::new("Candlemark's tests", "Candlemark project", "", "1").unwrap();
        let mut plugin =
            PluginInstance::new(|()| Shared::default(), |_| (), &entry, ID, &info).expect("it can be made");
        select_channels(&mut plugin, channels);
        Self { plugin, processor: None, channels, _entry: entry }
    }

    /// Sets it up, after taking it down if it was.
    pub(crate) fn activate(&mut self, sample_rate: f64) {
        self.deactivate();
        let setup = PluginAudioConfiguration { sample_rate, min_frames_count: 1, max_frames_count: 8192 };
        self.processor = Some(self.plugin.activate(|_, ()| (), setup).expect("it can be activated"));
    }

    pub(crate) fn deactivate(&mut self) {
        if let Some(processor) = self.processor.take() {
            self.plugin.deactivate(processor);
        }
    }

    /// Changes the channel count, for which the instance is taken down.
    pub(crate) fn set_channels(&mut self, channels: usize) {
        self.deactivate();
        select_channels(&mut self.plugin, channels);
        self.channels = channels;
    }

    /// What is called on the host's main thread.
    pub(crate) fn plugin(&mut self) -> &mut PluginInstance<Host> {
        &mut self.plugin
    }

    /// Does what the plugin has asked of the main thread.
    pub(crate) fn serve_main_thread(&mut self) {
        let wanted = |shared: &Shared| shared.main_thread_wanted.swap(false, Ordering::Acquire);
        if self.plugin.access_shared_handler(wanted) {
            self.plugin.call_on_main_thread_callback();
        }
    }

    /// Opens the editor in the X11 window `parent`, which must stay until [`Instance::close_editor`], and gives
    /// its size.
    pub(crate) fn open_editor(&mut self, parent: u32) -> GuiSize {
        let handle = self.plugin.plugin_handle();
        let gui: PluginGui = handle.get_extension().expect("it has an editor");
        let embedded = GuiConfiguration { api_type: GuiApiType::X11, is_floating: false };
        assert!(gui.is_api_supported(&handle, embedded));
        gui.create(&handle, embedded).expect("the editor can be made");
        let size = gui.get_size(&handle).expect("the editor has a size");
        // SAFETY: the caller keeps the window.
        unsafe { gui.set_parent(&handle, Window::from_x11_handle(parent.into())) }
            .expect("it takes the window");
        gui.show(&handle).expect("it can be shown");
        size
    }

    /// Closes the editor.
    pub(crate) fn close_editor(&mut self) {
        let handle = self.plugin.plugin_handle();
        let gui: PluginGui = handle.get_extension().expect("it has an editor");
        gui.hide(&handle).expect("it can be hidden");
        gui.destroy(&handle);
    }

    /// Plays `input` through it, on a thread of its own, and gives what came out. Every block must be
    /// processed, and the plugin must not ask to be put to sleep.
    pub(crate) fn play(
        &mut self,
        input: &[Vec<f32>],
        blocks: &[Block],
        placement: Placement,
    ) -> Vec<Vec<f32>> {
        assert_eq!(input.len(), self.channels);
        let processor = self.processor.take().expect("it is active");
        let (output, processor) = thread::scope(|scope| {
            let audio_thread = scope.spawn(move || {
                let mut processor = processor.start_processing().expect("it can start");
                let output = play(&mut processor, input, blocks, placement);
                (output, processor.stop_processing())
            });
            audio_thread.join().expect("the audio thread ends well")
        });
        self.processor = Some(processor);
        output
    }
}

impl Drop for Instance {
    fn drop(&mut self) {
        self.deactivate();
    }
}

fn select_channels(plugin: &mut PluginInstance<Host>, channels: usize) {
    let handle = plugin.plugin_handle();
    let configs: PluginAudioPortsConfig = handle.get_extension().expect("it has channel settings");
    let mut buffer = AudioPortsConfigBuffer::new();
    let id = (0..configs.count(&handle))
        .find_map(|index| {
            let config = configs.get(&handle, index, &mut buffer)?;
            let counts = [config.main_input?.channel_count, config.main_output?.channel_count];
            (counts == [channels as u32; 2]).then_some(config.id)
        })
        .unwrap_or_else(|| panic!("it has no setting with {channels} channels in and out"));
    configs.select(&handle, id).expect("it can be selected");
}

/// What a host's memory may hold before a plugin writes to it.
const LEFT_OVER: f32 = 12345.678;

fn play(
    processor: &mut StartedPluginAudioProcessor<Host>,
    input: &[Vec<f32>],
    blocks: &[Block],
    placement: Placement,
) -> Vec<Vec<f32>> {
    let channels = input.len();
    let longest = blocks.iter().map(|block| block.frames).max().unwrap_or(0);
    let mut source = vec![vec![0.0; longest]; channels];
    let mut result = vec![vec![0.0; longest]; channels];
    let mut input_ports = AudioPorts::with_capacity(channels, 1);
    let mut output_ports = AudioPorts::with_capacity(channels, 1);
    let mut output = vec![Vec::new(); channels];
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
        let mut outputs = output_ports.with_output_buffers([AudioPortBuffer {
            latency: 0,
            channels: AudioPortBufferType::f32_output_only(
                result.iter_mut().map(|channel| &mut channel[..block.frames]),
            ),
        }]);
        let ours = outputs.as_raw_buffers().to_vec();
        let inputs = match placement {
            // SAFETY: these are the buffers of `outputs`, which live as long. That input and output are the same
            // memory is what CLAP calls in-place processing; nobody else looks at it meanwhile.
            Placement::InPlace => unsafe { InputAudioBuffers::from_raw_buffers(&ours, block.frames as u32) },
            Placement::Separate => input_ports.with_input_buffers([AudioPortBuffer {
                latency: 0,
                channels: AudioPortBufferType::f32_input_only(
                    source.iter_mut().map(|channel| InputChannel::variable(&mut channel[..block.frames])),
                ),
            }]),
        };
        let status = processor
            .process(
                &inputs,
                &mut outputs,
                &InputEvents::empty(),
                &mut OutputEvents::void(),
                Some(start as u64),
                block.transport.as_ref(),
            )
            .expect("every block is processed");
        if block.frames > 0 {
            assert_eq!(status, ProcessStatus::Continue, "put to sleep, a meter would lose the song's clock");
        }
        for (channel, whole) in output.iter_mut().enumerate() {
            whole.extend_from_slice(&result[channel][..block.frames]);
            if placement == Placement::Separate {
                assert_eq!(source[channel][..block.frames].to_bits(), input[channel][start..end].to_bits());
            }
        }
        start = end;
    }
    output
}

/// Sound as bits: what is compared must be equal to the last one, NaNs and signs of zero included.
pub(crate) trait ToBits {
    fn to_bits(&self) -> Vec<u32>;
}

impl ToBits for [f32] {
    fn to_bits(&self) -> Vec<u32> {
        self.iter().map(|sample| sample.to_bits()).collect()
    }
}

/// Fails at the first sample that is not the same to the last bit.
#[track_caller]
pub(crate) fn assert_same(output: &[Vec<f32>], input: &[Vec<f32>], what: &str) {
    assert_eq!(output.len(), input.len(), "{what}: channels");
    for (channel, (output, input)) in output.iter().zip(input).enumerate() {
        assert_eq!(output.len(), input.len(), "{what}: frames of channel {channel}");
        let differing =
            output.iter().zip(input).position(|(output, input)| output.to_bits() != input.to_bits());
        if let Some(frame) = differing {
            let (output, input) = (output[frame], input[frame]);
            panic!("{what}: channel {channel}, frame {frame}: {input:e} came out as {output:e}");
        }
    }
}
