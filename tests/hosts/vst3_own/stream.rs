//! What a project keeps of an instance, as the stream in which plugins read and write it.
#![allow(unsafe_code, reason = "the stream is read and written through the plugin's pointers")]

use std::cell::RefCell;
use std::ffi::c_void;
use std::io::{Cursor, Read, Seek, SeekFrom, Write};

use vst3::Steinberg::IBStream_::IStreamSeekMode_::{
    kIBSeekCur as FROM_HERE, kIBSeekEnd as FROM_END, kIBSeekSet as FROM_START,
};
use vst3::Steinberg::{
    IBStream, IBStreamTrait, int32, int64, kInvalidArgument, kNotImplemented, kResultFalse, kResultOk,
    tresult,
};
use vst3::{Class, ComWrapper};

/// What is wrong with a stream.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Fault {
    None,
    /// Its place can neither be told nor changed.
    NoSeeking,
    /// It claims to be longer than it is.
    TooLong,
    /// Nothing can be read from it.
    NoReading,
}

/// Bytes in memory.
pub(crate) struct Stream {
    bytes: RefCell<Cursor<Vec<u8>>>,
    fault: Fault,
}

impl Class for Stream {
    type Interfaces = (IBStream,);
}

impl Stream {
    /// An empty one.
    pub(crate) fn new() -> ComWrapper<Self> {
        Self::holding(&[], 0, Fault::None)
    }

    /// One that stands at byte `place` of `bytes`.
    pub(crate) fn holding(bytes: &[u8], place: u64, fault: Fault) -> ComWrapper<Self> {
        let mut cursor = Cursor::new(bytes.to_vec());
        cursor.set_position(place);
        ComWrapper::new(Self { bytes: RefCell::new(cursor), fault })
    }

    /// All that it holds.
    pub(crate) fn bytes(&self) -> Vec<u8> {
        self.bytes.borrow().get_ref().clone()
    }
}

/// Hands on how many bytes went through, if that is asked for.
///
/// # Safety
///
/// `count` is null or can be written to.
unsafe fn told(done: std::io::Result<usize>, count: *mut int32) -> tresult {
    let (bytes, result) = done.map_or((0, kResultFalse), |bytes| (bytes as int32, kResultOk));
    if !count.is_null() {
        // SAFETY: the caller's promise.
        unsafe { *count = bytes };
    }
    result
}

impl IBStreamTrait for Stream {
    unsafe fn read(&self, buffer: *mut c_void, length: int32, count: *mut int32) -> tresult {
        if length < 0 || self.fault == Fault::NoReading {
            // SAFETY: the plugin's count, as in the format.
            return unsafe { told(Err(std::io::ErrorKind::InvalidInput.into()), count) };
        }
        let mut here = vec![0; length as usize];
        let done = self.bytes.borrow_mut().read(&mut here);
        // SAFETY: the plugin's buffer holds `length` bytes and is its own.
        unsafe {
            std::ptr::copy_nonoverlapping(here.as_ptr(), buffer.cast(), done.as_ref().map_or(0, |n| *n));
            told(done, count)
        }
    }

    unsafe fn write(&self, buffer: *mut c_void, length: int32, count: *mut int32) -> tresult {
        if length < 0 {
            return kInvalidArgument;
        }
        // SAFETY: the plugin's buffer holds `length` bytes, and its count is as in the format.
        unsafe {
            let there = std::slice::from_raw_parts(buffer.cast_const().cast(), length as usize);
            told(self.bytes.borrow_mut().write(there), count)
        }
    }

    unsafe fn seek(&self, place: int64, mode: int32, now: *mut int64) -> tresult {
        if self.fault == Fault::NoSeeking {
            return kNotImplemented;
        }
        let from = match mode as u32 {
            FROM_START => u64::try_from(place).ok().map(SeekFrom::Start),
            FROM_HERE => Some(SeekFrom::Current(place)),
            FROM_END if self.fault == Fault::TooLong => Some(SeekFrom::End(place + 1000)),
            FROM_END => Some(SeekFrom::End(place)),
            _ => None,
        };
        let Some(reached) = from.and_then(|from| self.bytes.borrow_mut().seek(from).ok()) else {
            return kInvalidArgument;
        };
        if !now.is_null() {
            // SAFETY: the plugin's variable, as in the format.
            unsafe { *now = reached as int64 };
        }
        kResultOk
    }

    unsafe fn tell(&self, place: *mut int64) -> tresult {
        if self.fault == Fault::NoSeeking || place.is_null() {
            return kInvalidArgument;
        }
        // SAFETY: the plugin's variable, as in the format.
        unsafe { *place = self.bytes.borrow().position() as int64 };
        kResultOk
    }
}
