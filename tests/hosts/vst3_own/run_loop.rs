//! The host's frame around an editor, with the loop in which an editor has its events handled on the host's main
//! thread.
#![allow(unsafe_code, reason = "the format's interfaces are unsafe to call, and its files are bare numbers")]

use std::cell::RefCell;
use std::os::fd::BorrowedFd;
use std::thread::{self, ThreadId};
use std::time::{Duration, Instant};

use rustix::event::{PollFd, PollFlags, Timespec, poll};
use vst3::Steinberg::Linux::{
    FileDescriptor, IEventHandler, IEventHandlerTrait, IRunLoop, IRunLoopTrait, ITimerHandler,
    ITimerHandlerTrait, TimerInterval,
};
use vst3::Steinberg::{
    IPlugFrame, IPlugFrameTrait, IPlugView, IPlugViewTrait, ViewRect, kInvalidArgument, kResultFalse,
    kResultOk, tresult,
};
use vst3::{Class, ComPtr, ComRef};

struct Watched {
    handler: ComPtr<IEventHandler>,
    file: FileDescriptor,
}

struct Timer {
    handler: ComPtr<ITimerHandler>,
    interval: Duration,
    due: Instant,
}

/// The frame around one editor. Everything in it belongs to the thread that made it.
pub(crate) struct Frame {
    thread: ThreadId,
    watched: RefCell<Vec<Watched>>,
    timers: RefCell<Vec<Timer>>,
}

impl Class for Frame {
    type Interfaces = (IPlugFrame, IRunLoop);
}

impl Frame {
    pub(crate) fn new() -> Self {
        let thread = thread::current().id();
        Self { thread, watched: RefCell::default(), timers: RefCell::default() }
    }

    /// Does what is due: timers, and handlers whose file has something to read. Waits for nothing.
    pub(crate) fn serve(&self) {
        self.on_its_thread("the run loop");
        for handler in self.due_timers() {
            // SAFETY: it is registered, and this is the main thread.
            unsafe { handler.onTimer() };
        }
        for (handler, file) in self.readable() {
            // SAFETY: as for the timers.
            unsafe { handler.onFDIsSet(file) };
        }
    }

    fn due_timers(&self) -> Vec<ComPtr<ITimerHandler>> {
        let now = Instant::now();
        let mut timers = self.timers.borrow_mut();
        let due = timers.iter_mut().filter(|timer| timer.due <= now);
        due.map(|timer| {
            timer.due = now + timer.interval;
            timer.handler.clone()
        })
        .collect()
    }

    fn readable(&self) -> Vec<(ComPtr<IEventHandler>, FileDescriptor)> {
        let watched = self.watched.borrow();
        let mut files: Vec<PollFd> = watched
            .iter()
            // SAFETY: whoever registered the file keeps it open until it takes that back.
            .map(|watched| {
                PollFd::from_borrowed_fd(unsafe { BorrowedFd::borrow_raw(watched.file) }, PollFlags::IN)
            })
            .collect();
        let at_once = Timespec { tv_sec: 0, tv_nsec: 0 };
        poll(&mut files, Some(&at_once)).expect("the files can be looked at");
        let ready = watched.iter().zip(&files).filter(|(_, file)| file.revents().contains(PollFlags::IN));
        ready.map(|(watched, _)| (watched.handler.clone(), watched.file)).collect()
    }

    /// The format has all of this called on the main thread. (A panic here ends the process, for the plugin's code is
    /// in between.)
    fn on_its_thread(&self, what: &str) {
        assert_eq!(thread::current().id(), self.thread, "{what} belongs to the main thread");
    }
}

impl IPlugFrameTrait for Frame {
    unsafe fn resizeView(&self, view: *mut IPlugView, size: *mut ViewRect) -> tresult {
        self.on_its_thread("resizing");
        // SAFETY: the plugin's own view, which it has passed.
        match unsafe { ComRef::from_raw(view) } {
            // SAFETY: the view is attached; it takes the size that it has asked for.
            Some(view) if !size.is_null() => unsafe { view.onSize(size) },
            _ => kInvalidArgument,
        }
    }
}

impl IRunLoopTrait for Frame {
    unsafe fn registerEventHandler(&self, handler: *mut IEventHandler, file: FileDescriptor) -> tresult {
        self.on_its_thread("registering");
        // SAFETY: the plugin's own handler, which it has passed.
        let Some(handler) = (unsafe { ComRef::from_raw(handler) }) else { return kInvalidArgument };
        self.watched.borrow_mut().push(Watched { handler: handler.to_com_ptr(), file });
        kResultOk
    }

    unsafe fn unregisterEventHandler(&self, handler: *mut IEventHandler) -> tresult {
        self.on_its_thread("unregistering");
        let mut watched = self.watched.borrow_mut();
        let before = watched.len();
        watched.retain(|watched| watched.handler.as_ptr() != handler);
        if watched.len() < before { kResultOk } else { kResultFalse }
    }

    unsafe fn registerTimer(&self, handler: *mut ITimerHandler, milliseconds: TimerInterval) -> tresult {
        self.on_its_thread("registering");
        // SAFETY: the plugin's own handler, which it has passed.
        let Some(handler) = (unsafe { ComRef::from_raw(handler) }) else { return kInvalidArgument };
        let interval = Duration::from_millis(milliseconds);
        let due = Instant::now() + interval;
        self.timers.borrow_mut().push(Timer { handler: handler.to_com_ptr(), interval, due });
        kResultOk
    }

    unsafe fn unregisterTimer(&self, handler: *mut ITimerHandler) -> tresult {
        self.on_its_thread("unregistering");
        let mut timers = self.timers.borrow_mut();
        let before = timers.len();
        timers.retain(|timer| timer.handler.as_ptr() != handler);
        if timers.len() < before { kResultOk } else { kResultFalse }
    }
}
