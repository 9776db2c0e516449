//! Candlemark in a desktop window of its own: a file, or live sound, without a host.
//!
//! It is the same plugin: the same meter is set up, given its blocks and asked for its editor. What a host does besides
//! is done here, on four threads: the window's, the sound system's (or a clock's), a file's reader, and this one, which
//! waits for the end.

mod arguments;
mod card;
mod card_settings;
mod card_streams;
mod clock;
mod desk;
mod engine;
mod gate;
mod jack_client;
mod pipe;
#[cfg(all(unix, not(target_os = "macos")))]
mod silence;
mod song;
mod sound;
mod tally;
mod trouble;
#[cfg(test)]
mod wav;

use std::sync::Arc;
use std::sync::atomic::AtomicBool;

use candlemark::Meter;
use clap::Parser;
use signal_hook::consts::TERM_SIGNALS;
use signal_hook::flag;

use crate::arguments::Arguments;
use crate::desk::Desk;
use crate::engine::{Engine, Source};
use crate::song::Song;
use crate::sound::Sound;
use crate::tally::Tally;
use crate::trouble::Trouble;

/// A file, a device or an argument could not be used, or there is no window.
const UNUSABLE: i32 = 2;

fn main() {
    let arguments = Arguments::parse();
    let tally = Arc::new(Tally::default());
    let done = run(&arguments, &tally);
    for line in tally.lines() {
        tell(&line);
    }
    if let Err(trouble) = &done {
        tell(trouble);
    }
    let status = if done.is_err() || tally.is_damaged() { UNUSABLE } else { 0 };
    // All of ours has ended. The window's thread may still be unloading its graphics driver, since the window library
    // does not always wait for it, and a driver that is unloaded while the process runs its exit handlers crashes. So
    // none are run.
    signal_hook::low_level::exit(status);
}

fn run(arguments: &Arguments, tally: &Arc<Tally>) -> Result<(), Trouble> {
    let asked_to_end = end_when_asked();
    let (source, file) = match &arguments.file {
        Some(path) => {
            let (song, info) = Song::open(path, arguments.again, tally)?;
            (Source::Song(song), Some(info))
        }
        None => (Source::LIVE, None),
    };
    let mut meter = Meter::default();
    let mut sound = Sound::open(arguments, file, tally)?;
    let desk = Desk::open(&mut meter)?;
    for note in std::mem::take(&mut sound.notes) {
        tell(&note);
    }
    let engine = Engine::new(meter, source, sound.sample_rate, sound.channels, Arc::clone(tally));
    let running = sound.begin(engine);
    let ended = desk.run(tally, &asked_to_end);
    drop(running);
    ended
}

/// A flag that is set when the program is asked to end. Asked a second time, it ends at once.
fn end_when_asked() -> Arc<AtomicBool> {
    let asked = Arc::new(AtomicBool::new(false));
    if cfg!(all(unix, not(target_os = "macos"))) {
        for signal in TERM_SIGNALS {
            // Without a handler, the signal ends the program as it ends any.
            let _ = flag::register_conditional_shutdown(*signal, 1, Arc::clone(&asked))
                .and_then(|_| flag::register(*signal, Arc::clone(&asked)));
        }
    }
    asked
}

/// Tells a person something on standard error, in one line: a file's name may hold anything.
fn tell(what: &impl std::fmt::Display) {
    let mut line = String::from("candlemark-desk: ");
    for character in what.to_string().chars() {
        if character.is_control() { line.extend(character.escape_default()) } else { line.push(character) }
    }
    eprintln!("{line}");
}
