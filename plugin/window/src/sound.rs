//! Which sound system the engine runs on.

use std::any::Any;
use std::sync::Arc;

use candlemark_analysis::{Channels, Hertz};
use candlemark_files::FileInfo;

use crate::arguments::{Arguments, Backend};
use crate::clock::Clock;
use crate::engine::Engine;
use crate::gate::{Entry, gate};
use crate::tally::Tally;
use crate::trouble::Trouble;
use crate::{card, jack_client};

/// Sample rate of a live meter that no device decides, in Hz.
const RATE_HZ: u32 = 48_000;

/// Said where sound goes out, before it does.
pub(crate) const CAUTION: &str = "turn the monitors down first";

/// A sound system that runs, silent until the engine has come. It stops when this is dropped.
pub(crate) struct Sound {
    pub(crate) sample_rate: Hertz,
    pub(crate) channels: Channels,
    /// What a person should know of it: a line each.
    pub(crate) notes: Vec<String>,
    entry: Entry,
    running: Running,
}

/// Whatever must be kept for sound to run. The engine ends with it.
pub(crate) type Running = Box<dyn Any>;

/// What is to be opened.
pub(crate) struct Wanted<'a> {
    pub(crate) input: Option<&'a str>,
    pub(crate) output: Option<&'a str>,
    pub(crate) mute: bool,
    pub(crate) block_frames: Option<u32>,
    /// The rate that sound must have: the file's, or the one that was asked for.
    pub(crate) sample_rate_hz: Option<u32>,
    /// The channels of the file. `None` for live sound.
    pub(crate) file: Option<Channels>,
}

impl Wanted<'_> {
    /// The error when a system does not run at the rate that sound must have.
    pub(crate) fn wrong_rate(&self, system: &'static str, otherwise: Trouble) -> Trouble {
        match (self.file, self.sample_rate_hz) {
            (Some(_), Some(file_hz)) => Trouble::FileRate { system, file_hz },
            _ => otherwise,
        }
    }
}

impl Sound {
    pub(crate) fn new(
        sample_rate_hz: u32,
        channels: Channels,
        notes: Vec<String>,
        entry: Entry,
        running: Running,
    ) -> Self {
        Self { sample_rate: Hertz(sample_rate_hz.into()), channels, notes, entry, running }
    }

    /// Opens the sound system that was asked for, or the first that there is.
    ///
    /// # Errors
    ///
    /// When what was asked for by name can't be had. What was left open falls back to a clock without sound.
    pub(crate) fn open(
        arguments: &Arguments,
        file: Option<FileInfo>,
        tally: &Arc<Tally>,
    ) -> Result<Self, Trouble> {
        let wanted = Wanted {
            input: arguments.input.as_deref(),
            output: arguments.output.as_deref(),
            mute: arguments.mute,
            block_frames: arguments.block,
            sample_rate_hz: file.map(|info| info.sample_rate.0 as u32).or(arguments.rate),
            file: file.map(|info| info.channels),
        };
        let names_devices = wanted.input.is_some() || wanted.output.is_some();
        if arguments.backend == Backend::Dummy && names_devices {
            return Err(Trouble::DummyHasNoDevices);
        }
        // A file that is not to be heard needs no device.
        if arguments.backend == Backend::Dummy || (wanted.file.is_some() && wanted.mute) {
            return Self::without_device(&wanted, None);
        }
        let trouble = match arguments.backend {
            Backend::Jack => jack_client::open(&wanted, tally),
            Backend::System => card::open(&wanted, tally),
            Backend::Auto | Backend::Dummy => jack_client::open(&wanted, tally).or_else(|jack| {
                card::open(&wanted, tally)
                    .map_err(|system| Trouble::Neither { jack: Box::new(jack), system: Box::new(system) })
            }),
        };
        match trouble {
            Ok(sound) => Ok(sound),
            Err(trouble) if trouble.is_of_the_files_rate() => Self::without_device(&wanted, Some(&trouble)),
            Err(trouble) if names_devices || arguments.backend != Backend::Auto => Err(trouble),
            Err(trouble) => Self::without_device(&wanted, Some(&trouble)),
        }
    }

    fn without_device(wanted: &Wanted, trouble: Option<&Trouble>) -> Result<Self, Trouble> {
        let sample_rate_hz = wanted.sample_rate_hz.unwrap_or(RATE_HZ);
        let (entry, gate) = gate();
        let clock = Clock::start(sample_rate_hz, wanted.block_frames, gate)?;
        let instead = match wanted.file {
            Some(_) => "the file is played by the clock, without being heard",
            None => "nothing comes in and nothing goes out, and the meter shows silence",
        };
        let notes = vec![match trouble {
            Some(trouble) => format!("{}: {instead}", trouble.in_brief()),
            None => instead.to_owned(),
        }];
        let channels = wanted.file.unwrap_or(Channels::Stereo);
        Ok(Self::new(sample_rate_hz, channels, notes, entry, Box::new(clock)))
    }

    /// Lets the engine in; sound begins. What is given back keeps it running.
    pub(crate) fn begin(self, engine: Engine) -> Running {
        self.entry.send(engine);
        self.running
    }
}
