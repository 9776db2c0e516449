//! The plugin as the framework sees it.

use std::sync::Arc;

use candlemark_analysis::{Channels, Hertz};
use candlemark_clerk::Seat;
use candlemark_handoff::{Oddity, Tape, orders};
use nice_plug::context::gui::GuiContext;
use nice_plug::prelude::*;

use crate::auditions::Auditions;
use crate::bus::Bus;
use crate::editor::MeterEditor;
use crate::frames::Frames;
use crate::framework::{NoHost, Settings};
use crate::instance::Instance;
use crate::{parameters, transport};

/// One instance of the plugin.
pub struct Meter {
    instance: Instance,
    bus: Bus,
    auditions: Auditions,
    /// The host said, when it last set the plugin up, that it renders offline.
    offline: bool,
    #[cfg(debug_assertions)]
    baited: bool,
}

impl Default for Meter {
    fn default() -> Self {
        let (writer, reader) = Tape::new();
        let (sender, receiver) = orders();
        let settings = Arc::new(Settings::new(&reader, &sender));
        let keeper = Arc::<Settings>::clone(&settings);
        let seat = Arc::new(Seat::new(reader.clone(), keeper, sender.clone()));
        Self {
            instance: Instance { settings, seat, orders: sender, tape: reader, frames: Frames::default() },
            bus: Bus::new(writer),
            auditions: Auditions::new(receiver),
            offline: false,
            #[cfg(debug_assertions)]
            baited: false,
        }
    }
}

const fn layout(channels: u32, name: &'static str) -> AudioIOLayout {
    AudioIOLayout {
        main_input_channels: NonZeroU32::new(channels),
        main_output_channels: NonZeroU32::new(channels),
        names: PortNames { layout: Some(name), ..PortNames::const_default() },
        ..AudioIOLayout::const_default()
    }
}

impl Meter {
    /// Measures a block, and plays an audition where one may sound. The block has one slice of samples for each channel
    /// of the layout that [`Plugin::activate`] was last given, all of one length; a host's own blocks come here too.
    ///
    /// # Realtime safety
    ///
    /// No allocation, no lock, no system call, no panic.
    pub fn play(&mut self, block: &mut [&mut [f32]], transport: &Transport) {
        #[cfg(debug_assertions)]
        if self.baited {
            crate::bait::take();
        }
        if !transport::is_known(transport) {
            self.bus.count(Oddity::NoTransport);
        }
        let position = transport::position(transport, self.offline);
        let orders = self.auditions.orders();
        self.bus.obey(&orders);
        // What is measured is the song, whatever is heard.
        self.bus.measure(block, position);
        self.auditions.play(block, &position, transport.recording, &orders);
    }

    /// What stands in for a host when the editor is opened without one.
    pub fn without_host() -> GuiContext {
        GuiContext::new(Arc::new(NoHost))
    }
}

impl Plugin for Meter {
    const NAME: &'static str = "Candlemark";
    const VENDOR: &'static str = "Candlemark project";
    const URL: &'static str = "";
    const EMAIL: &'static str = "";
    const VERSION: &'static str = env!("CARGO_PKG_VERSION");
    const AUDIO_IO_LAYOUTS: &'static [AudioIOLayout] = &[layout(2, "Stereo"), layout(1, "Mono")];

    type Editor = MeterEditor;
    type SysExMessage = ();
    // Never used: the framework's one worker serves all instances, and ends with the first that goes.
    type BackgroundTask = ();

    fn params(&self) -> Arc<dyn Params> {
        Arc::<Settings>::clone(&self.instance.settings)
    }

    fn editor(&mut self, _: AsyncExecutor<Self>) -> Option<Self::Editor> {
        Some(MeterEditor::new(self.instance.clone()))
    }

    fn filter_state(state: &mut PluginState) {
        parameters::complete(state);
    }

    fn activate(
        &mut self,
        layout: &AudioIOLayout,
        config: &BufferConfig,
        context: &mut impl ActivateContext<Self>,
    ) -> bool {
        let mono = layout.main_output_channels.is_some_and(|channels| channels.get() == 1);
        let channels = if mono { Channels::Mono } else { Channels::Stereo };
        // In VST3 the framework gives the mode of the setting-up before: playback after a render would be one.
        // There a render is known by its pace alone.
        let is_told = context.plugin_api() != PluginApi::Vst3;
        self.offline = is_told && config.process_mode == ProcessMode::Offline;
        #[cfg(debug_assertions)]
        {
            self.baited = crate::bait::is_laid();
        }
        let sample_rate = Hertz(config.sample_rate.into());
        self.bus.activate(sample_rate, channels);
        self.auditions.activate(sample_rate);
        self.instance.frames.ask();
        // Where it can't measure, it still passes sound; the editor says so.
        true
    }

    fn reset(&mut self) {
        self.bus.clear();
        self.auditions.begin_anew();
    }

    fn process(
        &mut self,
        buffer: &mut Buffer,
        _: &mut AuxiliaryBuffers,
        context: &mut impl ProcessContext<Self>,
    ) -> ProcessStatus {
        self.play(buffer.as_slice(), context.transport());
        // No tail, and yet not to be put to sleep in silence: the song's clock would stand still meanwhile.
        ProcessStatus::Tail(0)
    }
}

impl ClapPlugin for Meter {
    const CLAP_ID: &'static str = "org.candlemark.meter";
    const CLAP_DESCRIPTION: Option<&'static str> =
        Some("Says what tired ears in an untreated room no longer do, at the end of the master bus");
    const CLAP_MANUAL_URL: Option<&'static str> = None;
    const CLAP_SUPPORT_URL: Option<&'static str> = None;
    const CLAP_FEATURES: &'static [ClapFeature] = &[
        ClapFeature::AudioEffect,
        ClapFeature::Analyzer,
        ClapFeature::Utility,
        ClapFeature::Mastering,
        ClapFeature::Stereo,
        ClapFeature::Mono,
    ];
}

impl Vst3Plugin for Meter {
    const VST3_CLASS_ID: [u8; 16] = *b"CandlemarkMeter1";
    const VST3_SUBCATEGORIES: &'static [Vst3SubCategory] = &[Vst3SubCategory::Fx, Vst3SubCategory::Analyzer];
}
