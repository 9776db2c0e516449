//! A file through the plugin, and what the meter shows at the end.

use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread::sleep;
use std::time::{Duration, Instant};

use anyhow::ensure;
use candlemark_clerk::ReadOut;
use candlemark_files::to_toml;
use candlemark_session::yardstick::Yardstick;
use candlemark_tests::clap_host::{Instance, Placement, with_yardstick};
use candlemark_tests::read_out;

use crate::place::Place;
use crate::player::{Manner, Played, Player};
use crate::window::Window;

/// Without a window it is played so many times as fast as time: as fast as the meter surely follows.
const FAST: f64 = 20.0;
/// With a window, so often.
const ROUNDS_IN_WINDOW: usize = 2;

/// What there was to hear, and to see.
pub(crate) struct Heard {
    pub(crate) played: Played,
    pub(crate) took: Duration,
    pub(crate) rate_hz: f64,
    pub(crate) shown: ReadOut,
    pub(crate) is_stereo: bool,
    /// The editor was open meanwhile.
    pub(crate) in_window: bool,
}

/// Plays a file through the built plugin. Where `is_seen`, its editor is open meanwhile, if it can be opened.
pub(crate) fn listen(
    file: &Path,
    tempo_bpm: Option<f64>,
    yardstick: Option<&Yardstick>,
    place: &Place,
    is_seen: bool,
) -> anyhow::Result<Heard> {
    let stop = AtomicBool::new(false);
    let mut manner = Manner { pace: FAST, rounds: 1, tempo_bpm };
    // The window is opened on an instance that is set up for the file's own sound.
    let first = Player::new(file, manner, &stop)?;
    let mut instance = Instance::new(first.channels());
    instance.activate(first.rate_hz);
    let text = yardstick.map(to_toml).unwrap_or_default();
    ensure!(instance.load_state(&with_yardstick(&text.into())), "the plugin did not take the yardstick");

    let threads_before = threads();
    let window = is_seen.then(|| opened(&mut instance)).flatten();
    if window.is_some() {
        manner = Manner { pace: 1.0, rounds: ROUNDS_IN_WINDOW, tempo_bpm };
        println!(
            "The editor is open, and the music plays in its own time (unheard: the files are there to listen to).\n\
             Close the window to stop; it ends by itself when the music has played twice.\n"
        );
    }
    let mut player = Player::new(file, manner, &stop)?;
    let begun = Instant::now();
    instance.play_along(&mut player, Placement::Separate, |_| {
        if window.as_ref().is_some_and(Window::is_closed) {
            stop.store(true, Ordering::Relaxed);
        }
    });
    let took = begun.elapsed();
    let shown = read_out::settled(&mut instance, &place.read_outs())?;
    if window.is_some() {
        instance.close_editor();
        wait_for_threads(threads_before);
    }
    let (rate_hz, is_stereo) = (player.rate_hz, player.channels() == 2);
    Ok(Heard { played: player.played, took, rate_hz, shown, is_stereo, in_window: window.is_some() })
}

/// How many threads this process has; 0 where the system does not tell.
fn threads() -> usize {
    std::fs::read_dir("/proc/self/task").map_or(0, Iterator::count)
}

/// Waits until the threads of the editor's window have ended, some seconds at most. The window library does not join them, and
/// a process that ends meanwhile takes away under them what they draw with.
fn wait_for_threads(before: usize) {
    const PATIENCE: Duration = Duration::from_secs(5);
    let begun = Instant::now();
    while threads() > before && begun.elapsed() < PATIENCE {
        sleep(Duration::from_millis(20));
    }
}

/// The editor in a window. Where the system has not what it takes, that is said, and a picture serves.
fn opened(instance: &mut Instance) -> Option<Window> {
    let window = Window::open();
    let filled = window.and_then(|window| {
        let size = instance.try_open_editor(window.id)?;
        window.resize(size.width, size.height)?;
        Ok(window)
    });
    filled
        .map_err(|error| {
            eprintln!("The editor's window can't be opened here ({error:#}); a picture is drawn instead.\n");
        })
        .ok()
}
