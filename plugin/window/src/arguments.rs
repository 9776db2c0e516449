//! What can be asked for.

use std::path::PathBuf;

use clap::{Parser, ValueEnum};

/// Candlemark in a window of its own: a sound file, or what comes in, without a host
///
/// With a FILE, it is played once, from its start and in real time, and measured as the plugin measures a song. The
/// window stays open at its end. Where there is no sound device, or none that takes the file's sample rate, it is
/// played without being heard, and that is said.
///
/// Without one, what comes in is measured: from JACK where its server runs, else from the system's own default input,
/// else there is silence, and that is said too. Through JACK nothing is connected to the input until you connect it, or
/// name it with --input. Sound itself begins and ends a pass of live sound, five seconds of silence being an end; JACK's
/// transport is followed instead once it rolls.
///
/// Turn the monitors down before you begin: a file plays at once. What comes in goes out again, unchanged, and a
/// microphone in front of open speakers feeds back; --mute lets nothing be heard.
#[derive(Parser)]
#[command(name = "candlemark-desk", version, max_term_width = 100, after_long_help = AFTER)]
pub(crate) struct Arguments {
    /// A sound file to play: WAV, AIFF, FLAC, MP3, Ogg Vorbis, AAC
    pub(crate) file: Option<PathBuf>,
    /// Play the file again and again; each round is a new pass of the same song
    #[arg(long, requires = "file")]
    pub(crate) again: bool,
    /// Listen to this: a device, or with JACK a client or two ports ("system", "a:left,a:right")
    ///
    /// A name that is not there is answered with those that are.
    #[arg(long, value_name = "DEVICE", conflicts_with = "file")]
    pub(crate) input: Option<String>,
    /// Be heard from this: a device, or with JACK a client or two ports
    #[arg(long, value_name = "DEVICE")]
    pub(crate) output: Option<String>,
    /// Open no output: nothing is heard, all is measured
    #[arg(long, conflicts_with = "output")]
    pub(crate) mute: bool,
    /// Which sound system to use
    #[arg(long, value_enum, default_value_t = Backend::Auto)]
    pub(crate) backend: Backend,
    /// Sample rate of live sound. A file is played at its own, JACK has its own
    #[arg(long, value_name = "HZ", conflicts_with = "file", value_parser = clap::value_parser!(u32).range(8_000..=384_000))]
    pub(crate) rate: Option<u32>,
    /// Frames in a block, as far as the device allows; without it, as the device likes. JACK has its own
    #[arg(long, value_name = "FRAMES", value_parser = clap::value_parser!(u32).range(16..=8_192))]
    pub(crate) block: Option<u32>,
}

const AFTER: &str = "\
The exit status is 0 when the window was closed, or the program was asked to end, and 2 when a file, a device or an \
argument could not be used, a file had damage on the way, or no window could be opened.";

/// A sound system.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum Backend {
    /// JACK where its server runs, else the system's own, else none
    Auto,
    /// JACK; its server must run
    Jack,
    /// The system's own
    #[value(name = SYSTEM)]
    System,
    /// None: a clock without sound
    Dummy,
}

/// What the system's own sound system is called.
pub(crate) const SYSTEM: &str = if cfg!(target_os = "macos") {
    "coreaudio"
} else if cfg!(windows) {
    "wasapi"
} else {
    "alsa"
};
