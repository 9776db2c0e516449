//! The plugin's library as the format wants it loaded: once in a process, entered, and left before it goes.
#![allow(unsafe_code, reason = "loading a library and calling its entry points")]

use std::ffi::c_void;
use std::path::PathBuf;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError, Weak};

use candlemark_tests::paths;
use libloading::os::unix::Library;
use vst3::Steinberg::{IPluginFactory, IPluginFactoryTrait, PClassInfo, TUID, kResultOk};
use vst3::{ComPtr, Interface};

/// The bundle's library for this machine, at the place that the format gives it.
fn library() -> PathBuf {
    let folder = format!("Contents/{}-linux", std::env::consts::ARCH);
    paths::vst3_plugin().join(folder).join("Candlemark.so")
}

/// The library, entered.
struct Entered {
    factory: Option<ComPtr<IPluginFactory>>,
    library: Library,
}

impl Entered {
    fn new() -> Self {
        let path = library();
        // SAFETY: the library is the project's own plugin. Each entry point has the format's signature, and they are
        // called in the format's order.
        unsafe {
            let handle = Library::new(&path)
                .unwrap_or_else(|error| panic!("can't load {}: {error}", path.display()))
                .into_raw();
            let library = Library::from_raw(handle);
            let enter = library
                .get::<unsafe extern "C" fn(*mut c_void) -> bool>(b"ModuleEntry\0")
                .expect("it can be entered");
            assert!(enter(handle), "it does not want to be entered");
            let get_factory = library
                .get::<unsafe extern "system" fn() -> *mut c_void>(b"GetPluginFactory\0")
                .expect("it has a factory");
            let factory = ComPtr::from_raw(get_factory().cast()).expect("its factory is there");
            Self { factory: Some(factory), library }
        }
    }
}

impl Drop for Entered {
    fn drop(&mut self) {
        self.factory = None;
        // SAFETY: as for the entry; nothing of the library is used any more.
        unsafe {
            let leave =
                self.library.get::<unsafe extern "C" fn() -> bool>(b"ModuleExit\0").expect("it can be left");
            assert!(leave(), "it does not want to be left");
        }
    }
}

/// What every user of the library shares. Entering and leaving it is for one at a time.
static CURRENT: Mutex<Weak<Entered>> = Mutex::new(Weak::new());

fn alone() -> MutexGuard<'static, Weak<Entered>> {
    CURRENT.lock().unwrap_or_else(PoisonError::into_inner)
}

/// A use of the library, which is left with the last one.
pub(crate) struct Module(Option<Arc<Entered>>);

impl Module {
    pub(crate) fn load() -> Self {
        let mut current = alone();
        let entered = current.upgrade().unwrap_or_else(|| Arc::new(Entered::new()));
        *current = Arc::downgrade(&entered);
        Self(Some(entered))
    }

    pub(crate) fn factory(&self) -> &ComPtr<IPluginFactory> {
        let factory = self.0.as_ref().and_then(|entered| entered.factory.as_ref());
        factory.expect("it is there until it is left")
    }

    /// What the factory says of its classes.
    pub(crate) fn classes(&self) -> Vec<PClassInfo> {
        let factory = self.factory();
        // SAFETY: the factory fills the description, which is plain memory.
        unsafe {
            (0..factory.countClasses())
                .map(|index| {
                    let mut class: PClassInfo = std::mem::zeroed();
                    assert_eq!(factory.getClassInfo(index, &raw mut class), kResultOk);
                    class
                })
                .collect()
        }
    }

    /// Makes an instance of a class, seen as `I`.
    pub(crate) fn create<I: Interface>(&self, class: &TUID) -> ComPtr<I> {
        let mut object: *mut c_void = std::ptr::null_mut();
        // SAFETY: both identifiers are 16 bytes, and the object, if there is one, is an `I` that is ours.
        unsafe {
            let made = self.factory().createInstance(class.as_ptr(), I::IID.as_ptr().cast(), &raw mut object);
            assert_eq!(made, kResultOk, "it can't be made");
            ComPtr::from_raw(object.cast()).expect("it is there")
        }
    }
}

impl Drop for Module {
    fn drop(&mut self) {
        let _alone = alone();
        self.0 = None;
    }
}
