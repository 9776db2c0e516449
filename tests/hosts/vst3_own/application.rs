//! What a host is to its plugins: a name, and an ear for changed parameters.
#![allow(unsafe_code, reason = "the format's interfaces are unsafe to call")]

use std::ffi::c_void;
use std::sync::Mutex;

use vst3::Class;
use vst3::Steinberg::Vst::{
    IComponentHandler, IComponentHandlerTrait, IHostApplication, IHostApplicationTrait, ParamID, ParamValue,
    String128,
};
use vst3::Steinberg::{TUID, int32, kInvalidArgument, kNotImplemented, kResultOk, tresult};

/// The host itself.
pub(crate) struct Application;

impl Class for Application {
    type Interfaces = (IHostApplication,);
}

impl IHostApplicationTrait for Application {
    unsafe fn getName(&self, name: *mut String128) -> tresult {
        if name.is_null() {
            return kInvalidArgument;
        }
        let mut letters: String128 = [0; 128];
        for (letter, unit) in letters.iter_mut().zip("Candlemark's tests".encode_utf16()) {
            *letter = unit;
        }
        // SAFETY: the plugin's memory for a name.
        unsafe { *name = letters };
        kResultOk
    }

    unsafe fn createInstance(&self, _: *mut TUID, _: *mut TUID, object: *mut *mut c_void) -> tresult {
        // A host may make messages for two halves of a plugin; this one has no halves.
        if !object.is_null() {
            // SAFETY: the plugin's memory for a pointer.
            unsafe { *object = std::ptr::null_mut() };
        }
        kNotImplemented
    }
}

/// Something that an instance's editor has told the host.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Told {
    /// A parameter is about to be changed.
    Begin(ParamID),
    /// It was changed to this, from 0 to 1.
    Perform(ParamID, ParamValue),
    /// It will not be changed further.
    End(ParamID),
    /// The instance wants to be started anew, for the format's reasons.
    Restart(int32),
}

/// What one instance has told.
#[derive(Default)]
pub(crate) struct Handler {
    told: Mutex<Vec<Told>>,
    /// Changes that are to go into the next block: the format wants an editor's change handed to the audio thread
    /// by the host.
    unplayed: Mutex<Vec<(ParamID, ParamValue)>>,
}

impl Class for Handler {
    type Interfaces = (IComponentHandler,);
}

impl Handler {
    /// All that was told so far.
    pub(crate) fn told(&self) -> Vec<Told> {
        self.told.lock().unwrap().clone()
    }

    /// Takes the changes for the next block.
    pub(crate) fn take_unplayed(&self) -> Vec<(ParamID, ParamValue)> {
        std::mem::take(&mut *self.unplayed.lock().unwrap())
    }

    fn note(&self, told: Told) -> tresult {
        self.told.lock().unwrap().push(told);
        kResultOk
    }
}

impl IComponentHandlerTrait for Handler {
    unsafe fn beginEdit(&self, id: ParamID) -> tresult {
        self.note(Told::Begin(id))
    }

    unsafe fn performEdit(&self, id: ParamID, value: ParamValue) -> tresult {
        self.unplayed.lock().unwrap().push((id, value));
        self.note(Told::Perform(id, value))
    }

    unsafe fn endEdit(&self, id: ParamID) -> tresult {
        self.note(Told::End(id))
    }

    unsafe fn restartComponent(&self, flags: int32) -> tresult {
        self.note(Told::Restart(flags))
    }
}
