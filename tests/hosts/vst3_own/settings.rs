//! How a host sets an instance up.

use vst3::Steinberg::Vst::ProcessModes_::{kOffline, kPrefetch, kRealtime};
use vst3::Steinberg::Vst::SpeakerArr::{kMono, kStereo};
use vst3::Steinberg::Vst::SymbolicSampleSizes_::kSample32;
use vst3::Steinberg::Vst::{ProcessSetup, SpeakerArrangement};

/// The longest block, in frames.
pub(crate) const LONGEST_FRAMES: usize = 8192;

/// What the sound is processed for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Mode {
    /// Somebody hears it now.
    RealTime,
    /// Somebody will hear it soon: it is processed ahead, in an uneven pace.
    Prefetch,
    /// It goes into a file.
    Offline,
}

impl Mode {
    /// The format's number for it.
    pub(crate) fn code(self) -> i32 {
        let code = match self {
            Self::RealTime => kRealtime,
            Self::Prefetch => kPrefetch,
            Self::Offline => kOffline,
        };
        code as i32
    }
}

/// What stays the same while an instance is active.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Settings {
    /// In Hz.
    pub(crate) sample_rate: f64,
    pub(crate) mode: Mode,
}

impl Settings {
    pub(crate) fn as_the_format_has_them(self) -> ProcessSetup {
        ProcessSetup {
            processMode: self.mode.code(),
            symbolicSampleSize: kSample32 as i32,
            maxSamplesPerBlock: LONGEST_FRAMES as i32,
            sampleRate: self.sample_rate,
        }
    }
}

/// The loudspeakers of a bus.
pub(crate) fn speakers(channels: usize) -> SpeakerArrangement {
    match channels {
        1 => kMono,
        2 => kStereo,
        _ => panic!("a bus of {channels} channels"),
    }
}
