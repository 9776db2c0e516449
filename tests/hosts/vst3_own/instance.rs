//! One instance of the plugin in the host: made, set up, taken down and let go in the format's order.
#![allow(unsafe_code, reason = "the format's interfaces are unsafe to call")]

use candlemark_tests::hosting::Hosts;
use vst3::Steinberg::Vst::{
    BusDirection, BusDirections_, IAudioProcessor, IAudioProcessorTrait, IComponent, IComponentHandler,
    IComponentTrait, IEditController, IEditControllerTrait, IHostApplication, MediaTypes_,
};
use vst3::Steinberg::{FUnknown, IBStream, IPluginBaseTrait, TUID, kResultOk};
use vst3::com_scrape_types::Unknown as _;
use vst3::{ComPtr, ComWrapper};

use crate::application::{Application, Handler};
use crate::editor::Editor;
use crate::module::Module;
use crate::settings::{Mode, Settings, speakers};
use crate::stream::{Fault, Stream};

pub(crate) const AUDIO: i32 = MediaTypes_::kAudio as i32;
pub(crate) const INPUT: BusDirection = BusDirections_::kInput as BusDirection;
pub(crate) const OUTPUT: BusDirection = BusDirections_::kOutput as BusDirection;

/// One instance of the plugin in the host.
pub(crate) struct Instance {
    editor: Option<Editor>,
    /// How it is set up, while it is active.
    pub(crate) settings: Option<Settings>,
    processing: bool,
    pub(crate) channels: usize,
    /// What it tells the host.
    pub(crate) handler: ComWrapper<Handler>,
    processor: Option<ComPtr<IAudioProcessor>>,
    controller: Option<ComPtr<IEditController>>,
    component: Option<ComPtr<IComponent>>,
    _application: ComWrapper<Application>,
    // The library goes last.
    _module: Module,
}

impl Instance {
    /// Makes an instance with one channel or two.
    pub(crate) fn new(channels: usize) -> Self {
        let module = Module::load();
        let classes = module.classes();
        let component: ComPtr<IComponent> = module.create(&classes[0].cid);
        let application = ComWrapper::new(Application);
        let context = application.as_com_ref::<IHostApplication>().expect("it is one").upcast::<FUnknown>();
        let handler = ComWrapper::new(Handler::default());
        let listener = handler.as_com_ref::<IComponentHandler>().expect("it is one");
        // SAFETY: the host's objects live as long as the instance, and the calls come in the format's order.
        let controller = unsafe {
            assert_eq!(component.initialize(context.as_ptr()), kResultOk, "it can be made ready");
            let mut elsewhere: TUID = [0; 16];
            assert_ne!(
                component.getControllerClassId(&raw mut elsewhere),
                kResultOk,
                "its other half is an object of its own, which this host would have to make and to connect"
            );
            let controller: ComPtr<IEditController> = component.cast().expect("it has parameters");
            assert_eq!(controller.setComponentHandler(listener.as_ptr()), kResultOk);
            controller
        };
        let processor = component.cast().expect("it processes sound");
        let mut instance = Self {
            editor: None,
            settings: None,
            processing: false,
            channels,
            handler,
            processor: Some(processor),
            controller: Some(controller),
            component: Some(component),
            _application: application,
            _module: module,
        };
        instance.set_channels(channels);
        instance
    }

    pub(crate) fn component(&self) -> &ComPtr<IComponent> {
        self.component.as_ref().expect("it is there until it is dropped")
    }

    pub(crate) fn controller(&self) -> &ComPtr<IEditController> {
        self.controller.as_ref().expect("it is there until it is dropped")
    }

    pub(crate) fn processor(&self) -> &ComPtr<IAudioProcessor> {
        self.processor.as_ref().expect("it is there until it is dropped")
    }

    /// Changes the channel count, for which the instance is taken down.
    pub(crate) fn set_channels(&mut self, channels: usize) {
        self.deactivate();
        let mut arrangement = speakers(channels);
        // SAFETY: one bus on each side, which is what is described.
        unsafe {
            for direction in [INPUT, OUTPUT] {
                assert_eq!(self.component().getBusCount(AUDIO, direction), 1, "busses");
            }
            let mut same = arrangement;
            let taken =
                self.processor().setBusArrangements(&raw mut arrangement, 1, &raw mut same, 1) == kResultOk;
            assert!(taken, "it has no setting with {channels} channels in and out");
            for direction in [INPUT, OUTPUT] {
                assert_eq!(self.component().activateBus(AUDIO, direction, 0, 1), kResultOk);
            }
        }
        self.channels = channels;
    }

    /// Sets it up for somebody who hears it now, after taking it down if it was set up.
    pub(crate) fn activate(&mut self, sample_rate: f64) {
        self.activate_for(Mode::RealTime, sample_rate);
    }

    /// Sets it up, after taking it down if it was.
    pub(crate) fn activate_for(&mut self, mode: Mode, sample_rate: f64) {
        self.deactivate();
        let settings = Settings { sample_rate, mode };
        let mut setup = settings.as_the_format_has_them();
        // SAFETY: it is not active, and the description outlives the call.
        unsafe {
            assert_eq!(self.processor().setupProcessing(&raw mut setup), kResultOk, "{settings:?}");
            assert_eq!(self.component().setActive(1), kResultOk, "{settings:?}");
        }
        self.settings = Some(settings);
    }

    /// Has it begin to process sound, or go on with it.
    pub(crate) fn start_processing(&mut self) {
        if !std::mem::replace(&mut self.processing, true) {
            // SAFETY: it is active.
            assert_eq!(unsafe { self.processor().setProcessing(1) }, kResultOk);
        }
    }

    /// Has it stop, where it processes sound.
    pub(crate) fn stop_processing(&mut self) {
        if std::mem::take(&mut self.processing) {
            // SAFETY: it is processing, and no block is under way, which borrows it.
            assert_eq!(unsafe { self.processor().setProcessing(0) }, kResultOk);
        }
    }

    pub(crate) fn deactivate(&mut self) {
        self.stop_processing();
        if self.settings.take().is_some() {
            // SAFETY: it is active, and no sound is processed, which borrows it.
            assert_eq!(unsafe { self.component().setActive(0) }, kResultOk);
        }
    }

    /// What the host's project keeps of it.
    pub(crate) fn save(&self) -> Vec<u8> {
        let stream = Stream::new();
        let here = stream.as_com_ref::<IBStream>().expect("it is one");
        // SAFETY: the stream outlives the call.
        let saved = unsafe { self.component().getState(here.as_ptr()) };
        assert_eq!(saved, kResultOk, "its state can be saved");
        stream.bytes()
    }

    /// Gives it what was saved, and says whether it was taken.
    pub(crate) fn load(&self, saved: &[u8]) -> bool {
        self.load_from(&Stream::holding(saved, 0, Fault::None))
    }

    /// Gives it what was saved in a stream, from where it stands, and says whether it was taken.
    pub(crate) fn load_from(&self, stream: &ComWrapper<Stream>) -> bool {
        let there = stream.as_com_ref::<IBStream>().expect("it is one");
        // SAFETY: the stream outlives the call.
        unsafe { self.component().setState(there.as_ptr()) == kResultOk }
    }

    /// The editor, which is open.
    pub(crate) fn editor(&self) -> &Editor {
        self.editor.as_ref().expect("it is open")
    }
}

impl Hosts for Instance {
    fn serve(&mut self) {
        if let Some(editor) = &self.editor {
            editor.serve();
        }
    }

    fn open(&mut self, parent: u32) {
        assert!(self.editor.is_none(), "it is open");
        self.editor = Some(Editor::open(self.controller(), parent));
    }

    fn close(&mut self) {
        self.editor.take().expect("it is open").close();
    }

    fn save(&mut self) -> Vec<u8> {
        Self::save(self)
    }

    fn load(&mut self, saved: &[u8]) -> bool {
        Self::load(self, saved)
    }
}

impl Drop for Instance {
    fn drop(&mut self) {
        if let Some(editor) = self.editor.take() {
            editor.close();
        }
        self.deactivate();
        let component = self.component.take().expect("it is dropped once");
        // SAFETY: the calls come in the format's order. The two other views of the same object go before it, and
        // nothing uses the object after its last reference was given back.
        let left = unsafe {
            let forgotten = self.controller().setComponentHandler(std::ptr::null_mut());
            let ended = component.terminate();
            self.processor = None;
            self.controller = None;
            let left = IComponent::release(component.into_raw());
            [forgotten as usize, ended as usize, left]
        };
        if !std::thread::panicking() {
            assert_eq!(left, [0; 3], "it does not end well, or something in it still holds it");
        }
    }
}
