//! One instance of the plugin, its settings and its window.
#![allow(unsafe_code, reason = "loading a library, and a window that must outlive another")]

use std::ffi::CStr;
use std::sync::Mutex;
use std::thread;
use std::time::Duration;

use clack_extensions::audio_ports_config::{AudioPortsConfigBuffer, PluginAudioPortsConfig};
use clack_extensions::gui::{GuiApiType, GuiConfiguration, GuiError, GuiSize, PluginGui, Window};
use clack_extensions::render::{PluginRender, RenderMode};
use clack_host::prelude::*;
use clack_host::process::PluginAudioProcessor;

use super::callbacks::{Host, Shared};
use super::playback::{Batch, Block, LONGEST_BLOCK, Playback, blocks, run};
use crate::passing::{Passes, Placement};
use crate::paths;

/// The identifier under which projects know the plugin.
pub const ID: &CStr = c"org.candlemark.meter";

/// How often the main thread sees to what the plugin wants of it while sound plays.
const MAIN_THREAD_TURN: Duration = Duration::from_millis(10);

/// The built plugin, loaded.
pub fn load() -> PluginEntry {
    // Loading and unloading is no business of tests that run at the same time.
    static LOADING: Mutex<()> = Mutex::new(());
    let path = paths::clap_plugin();
    let _alone = LOADING.lock().unwrap();
    // SAFETY: the library is the project's own plugin, and its entry point is made by the framework.
    unsafe { PluginEntry::load(&path) }
        .unwrap_or_else(|error| panic!("can't load {}: {error}", path.display()))
}

/// One instance of the plugin in the host.
pub struct Instance {
    plugin: PluginInstance<Host>,
    processor: Option<PluginAudioProcessor<Host>>,
    /// Frames played since it was set up.
    played: u64,
    channels: usize,
    _entry: PluginEntry,
}

impl Instance {
    /// Makes an instance of the built plugin with one channel or two.
    pub fn new(channels: usize) -> Self {
        let entry = load();
        let info = HostInfo::new("Candlemark's own host", "Candlemark project", "", "1").unwrap();
        let mut plugin =
            PluginInstance::new(|()| Shared::default(), |_| (), &entry, ID, &info).expect("it can be made");
        select_channels(&mut plugin, channels);
        Self { plugin, processor: None, played: 0, channels, _entry: entry }
    }

    /// Sets it up, after taking it down if it was.
    pub fn activate(&mut self, sample_rate: f64) {
        self.deactivate();
        let setup = PluginAudioConfiguration {
            sample_rate,
            min_frames_count: 1,
            max_frames_count: LONGEST_BLOCK as u32,
        };
        let processor = self.plugin.activate(|_, ()| (), setup).expect("it can be activated");
        self.processor = Some(processor.into());
        self.played = 0;
    }

    /// Sets it up for playback or for a render, after taking it down if it was.
    pub fn activate_for(&mut self, mode: RenderMode, sample_rate: f64) {
        self.deactivate();
        let handle = self.plugin.plugin_handle();
        let render: PluginRender = handle.get_extension().expect("it hears of renders");
        render.set(&handle, mode).expect("it takes the mode");
        self.activate(sample_rate);
    }

    /// Takes it down.
    pub fn deactivate(&mut self) {
        if self.processor.is_some() {
            self.stop_processing();
        }
        if let Some(processor) = self.processor.take() {
            self.plugin.deactivate(processor.into_stopped());
        }
    }

    /// Changes the channel count, for which the instance is taken down.
    pub fn set_channels(&mut self, channels: usize) {
        self.deactivate();
        select_channels(&mut self.plugin, channels);
        self.channels = channels;
    }

    /// What is called on the host's main thread.
    pub fn plugin(&mut self) -> &mut PluginInstance<Host> {
        &mut self.plugin
    }

    /// Does what the plugin has asked of the main thread.
    pub fn serve_main_thread(&mut self) {
        if self.plugin.access_shared_handler(Shared::takes_main_thread) {
            self.plugin.call_on_main_thread_callback();
        }
    }

    fn gui(&mut self) -> (PluginMainThreadHandle<'_>, PluginGui) {
        let handle = self.plugin.plugin_handle();
        let gui = handle.get_extension().expect("it has an editor");
        (handle, gui)
    }

    /// Opens the editor in the X11 window `parent`, which must stay until [`Instance::close_editor`], and gives
    /// its size.
    pub fn open_editor(&mut self, parent: u32) -> GuiSize {
        self.try_open_editor(parent).expect("the editor can be opened")
    }

    /// The same, where the system may lack what a window takes.
    ///
    /// # Errors
    ///
    /// The plugin can't open its editor. Then it is closed.
    pub fn try_open_editor(&mut self, parent: u32) -> Result<GuiSize, GuiError> {
        let (handle, gui) = self.gui();
        let embedded = GuiConfiguration { api_type: GuiApiType::X11, is_floating: false };
        assert!(gui.is_api_supported(&handle, embedded));
        gui.create(&handle, embedded)?;
        let size = gui.get_size(&handle).expect("the editor has a size");
        // SAFETY: the caller keeps the window.
        let taken = unsafe { gui.set_parent(&handle, Window::from_x11_handle(parent.into())) };
        let shown = taken.and_then(|()| gui.show(&handle));
        if shown.is_err() {
            gui.destroy(&handle);
        }
        shown.map(|()| size)
    }

    /// What the editor says its size is, in pixels.
    pub fn editor_size(&mut self) -> GuiSize {
        let (handle, gui) = self.gui();
        gui.get_size(&handle).expect("the editor has a size")
    }

    /// Gives the open editor another size, as near as it can have it, and gives that.
    pub fn resize_editor(&mut self, wanted: GuiSize) -> GuiSize {
        let (handle, gui) = self.gui();
        assert!(gui.can_resize(&handle), "it can be resized");
        let size = gui.adjust_size(&handle, wanted).expect("it says which size it can have");
        gui.set_size(&handle, size).expect("it takes the size that it has said");
        size
    }

    /// Hides the editor that is open, or shows it again.
    pub fn hide_editor(&mut self, hidden: bool) {
        let (handle, gui) = self.gui();
        let done = if hidden { gui.hide(&handle) } else { gui.show(&handle) };
        done.expect("it can be hidden and shown");
    }

    /// Closes the editor.
    pub fn close_editor(&mut self) {
        let (handle, gui) = self.gui();
        gui.hide(&handle).expect("it can be hidden");
        gui.destroy(&handle);
    }

    /// Stops processing, where it goes on.
    pub fn stop_processing(&mut self) {
        self.on_an_audio_thread(|processor| _ = processor.ensure_processing_stopped());
    }

    /// Tells it to begin anew while processing goes on.
    pub fn reset(&mut self) {
        self.on_an_audio_thread(PluginAudioProcessor::reset);
    }

    fn on_an_audio_thread(&mut self, call: impl FnOnce(&mut PluginAudioProcessor<Host>) + Send) {
        let processor = self.processor.as_mut().expect("it is active");
        thread::scope(|scope| scope.spawn(|| call(processor)).join().expect("the audio thread ends well"));
    }

    /// Plays `input` through it, on a thread of its own, and gives what came out. Every block must be
    /// processed, and the plugin must not ask to be put to sleep. Processing stops with its end.
    pub fn play(&mut self, input: &[Vec<f32>], blocks: &[Block], placement: Placement) -> Vec<Vec<f32>> {
        let output = self.play_on(input, blocks, placement);
        self.stop_processing();
        output
    }

    /// The same, but that processing goes on with the next call.
    pub fn play_on(&mut self, input: &[Vec<f32>], blocks: &[Block], placement: Placement) -> Vec<Vec<f32>> {
        assert_eq!(input.len(), self.channels);
        let mut batch = Batch::new(input, blocks);
        self.process(&mut batch, placement, None);
        batch.output
    }

    /// Plays what `playback` gives until it gives no more, on a thread of its own, while this one does what the
    /// plugin asks of the main thread, and calls `meanwhile` again and again. The plugin must not ask to be put to sleep.
    pub fn play_along(
        &mut self,
        playback: &mut impl Playback,
        placement: Placement,
        mut meanwhile: impl FnMut(&mut Self),
    ) {
        self.process(playback, placement, Some(&mut meanwhile));
        self.stop_processing();
    }

    /// The same without anything beside it, and processing goes on with the next call.
    pub fn play_out(&mut self, playback: &mut impl Playback, placement: Placement) {
        self.process(playback, placement, None);
    }

    /// Plays what `playback` gives to all of `instances`, block by block and by turns on one thread, as a host plays its
    /// buses. They were set up alike. Processing stops with its end.
    pub fn play_together(instances: &mut [Self], playback: &mut impl Playback, placement: Placement) {
        let Some(channels) = instances.first().map(|first| first.channels) else { return };
        let mut played = 0;
        let processors = instances.iter_mut().filter_map(|instance| instance.processor.as_mut());
        let mut processors: Vec<_> = processors.collect();
        thread::scope(|scope| {
            let audio_thread = scope.spawn(|| {
                let started = processors.iter_mut().map(|processor| processor.ensure_processing_started());
                let mut started: Vec<_> = started.map(|started| started.expect("it can start")).collect();
                run(&mut started, channels, playback, placement, &mut played);
            });
            audio_thread.join().expect("the audio thread ends well");
        });
        for instance in instances {
            instance.played += played;
            instance.stop_processing();
        }
    }

    fn process(
        &mut self,
        playback: &mut impl Playback,
        placement: Placement,
        meanwhile: Option<&mut dyn FnMut(&mut Self)>,
    ) {
        let mut processor = self.processor.take().expect("it is active");
        let (channels, mut played) = (self.channels, self.played);
        (self.processor, self.played) = thread::scope(|scope| {
            let audio_thread = scope.spawn(move || {
                let started = processor.ensure_processing_started().expect("it can start");
                run(&mut [started], channels, playback, placement, &mut played);
                (Some(processor), played)
            });
            if let Some(meanwhile) = meanwhile {
                while !audio_thread.is_finished() {
                    self.serve_main_thread();
                    meanwhile(self);
                    thread::sleep(MAIN_THREAD_TURN);
                }
            }
            audio_thread.join().expect("the audio thread ends well")
        });
    }
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
