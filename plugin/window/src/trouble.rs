//! What can go wrong, said so that a person knows what to do.

use candlemark_files::FileError;
use thiserror::Error;

use crate::arguments::SYSTEM;

/// Why it can't be done.
#[derive(Debug, Error)]
pub(crate) enum Trouble {
    #[error(transparent)]
    File(#[from] FileError),
    #[error("no thread could be started ({0}); end other programs and try again")]
    NoThread(std::io::Error),
    #[error("no window can be opened ({0}); it needs a desktop with OpenGL, and DISPLAY to name it")]
    NoWindow(String),
    #[error("the window has closed by itself ({0}); start it again")]
    WindowBroke(String),
    #[error("JACK's library is not here ({0}); install JACK, or choose another --backend")]
    NoJackLibrary(String),
    #[error("no JACK server runs; start one, or choose another --backend")]
    NoJackServer,
    #[error("JACK refuses ({0}); look at its server")]
    Jack(jack::Error),
    #[error("JACK has no {way} port or client called {asked:?}; it has {}", list(.there))]
    NoSuchPort { way: Way, asked: String, there: Vec<String> },
    #[error("JACK runs at {runs_hz} Hz, not at {asked_hz}; leave --rate out, or start JACK with that rate")]
    JackRate { runs_hz: u32, asked_hz: u32 },
    #[error(
        "{SYSTEM} has no sound {way} ({why}); connect a device, name one with --{way}, or use --backend dummy"
    )]
    NoDevice { way: Way, why: String },
    #[error("{SYSTEM} has no {way} called {asked:?}; it has {}", list(.there))]
    NoSuchDevice { way: Way, asked: String, there: Vec<String> },
    #[error("{SYSTEM}'s {way} does not run at {asked_hz} Hz{}; choose another --rate or --block", of_block(*.block_frames))]
    DeviceSettings { way: Way, asked_hz: u32, block_frames: Option<u32> },
    #[error("{SYSTEM}'s {way} can't be used ({why}); is another program using it? Name another with --{way}")]
    Device { way: Way, why: String },
    #[error("{system} does not run at the file's {file_hz} Hz")]
    FileRate { system: &'static str, file_hz: u32 },
    #[error("--backend dummy has no devices; leave --input and --output out, or choose another backend")]
    DummyHasNoDevices,
    #[error("neither sound system has what was asked for: {jack}; {system}")]
    Neither { jack: Box<Trouble>, system: Box<Trouble> },
}

impl Trouble {
    /// Whether a file could be heard, but for its sample rate.
    pub(crate) fn is_of_the_files_rate(&self) -> bool {
        match self {
            Self::FileRate { .. } => true,
            Self::Neither { jack, system } => jack.is_of_the_files_rate() || system.is_of_the_files_rate(),
            _ => false,
        }
    }

    /// The same in few words, without advice: for what can be done without.
    pub(crate) fn in_brief(&self) -> String {
        match self {
            Self::NoJackLibrary(_) => "JACK is not installed".to_owned(),
            Self::NoJackServer => "no JACK server runs".to_owned(),
            Self::NoDevice { way, .. } => format!("{SYSTEM} has no sound {way}"),
            Self::Device { way, why } => format!("{SYSTEM}'s {way} can't be used ({why})"),
            Self::Neither { jack, system } => format!("{}, and {}", jack.in_brief(), system.in_brief()),
            other => other.to_string(),
        }
    }
}

/// Which way sound goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Way {
    In,
    Out,
}

impl std::fmt::Display for Way {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Self::In => "input",
            Self::Out => "output",
        })
    }
}

fn list(names: &[String]) -> String {
    if names.is_empty() {
        return "none".to_owned();
    }
    names.join("; ")
}

fn of_block(block_frames: Option<u32>) -> String {
    block_frames.map_or_else(String::new, |frames| format!(" in blocks of {frames} frames"))
}
