//! Hours of a session at speed, in whatever host: blocks of every size, sample rates, transports, editors, parameters and
//! states by chance, from a number that is printed. What comes out is what went in throughout, and nothing grows.
//!
//! That nothing is allocated on the audio thread, the plugin's debug build sees to itself: it ends its host.

mod counted;
mod stint;

use std::env;

use crate::chance::Chance;
use crate::hosting::{self, Hosts, wait_for};
use crate::passing::{PLACEMENTS, assert_same};
use crate::taken::{Taken, threads};
use crate::x11::{Parent, on_a_display_and_with};
use counted::Counted;

pub use stint::{Change, Step, Told};

/// How many minutes of sound are played: a short form in the tests (ours). `cargo xtask trial endurance` sets it.
const MINUTES: &str = "CANDLEMARK_ENDURANCE_MINUTES";
const SHORT_MINUTES: f64 = 1.0;
/// Where chance begins: in the tests always at the same number (ours).
const SEED: &str = "CANDLEMARK_ENDURANCE_SEED";
const USUAL_SEED: u64 = 1;

/// Sample rates of sound cards, one of a film that was pulled down, and those at which nothing is measured, in hertz (common
/// practice, no source).
const RATES: [f64; 10] =
    [44_100.0, 48_000.0, 88_200.0, 96_000.0, 176_400.0, 192_000.0, 22_050.0, 8000.0, 44_055.944, 4000.0];

/// Openings before the count begins: drivers and fonts fill their caches (ours).
const FIRST_OPENINGS: usize = 3;
/// What may be added from the first fifth to the last, in KiB (ours): a tape of four hours that fills, under 4 MiB, the song's
/// cells at the clerk's, and what an allocator holds back.
/// Five hours once added 25 MiB as CLAP, of which 0.2 from the fourth to the fifth.
const MOST_KIB: f64 = 32.0 * 1024.0;
/// What an opening of the editor may leave behind, in KiB: a tenth of what one frame's picture takes (ours). The window
/// library leaves some 90 itself (docs/decisions/0012).
pub const MOST_KIB_AN_OPENING: f64 = 300.0;

/// A host with one instance of the plugin.
pub trait Lasts: Hosts {
    /// The format's name.
    const FORMAT: &'static str;
    /// Files that stay open for good after an editor was closed.
    const FILES_AN_OPENING: usize;
    /// How many parameters a host may move.
    fn parameters(&mut self) -> usize;
    /// Plays `input` in these steps and gives what came out; `stops` ends processing after it. The main thread is served
    /// meanwhile while the editor is open.
    fn play_steps(
        &mut self,
        input: &[Vec<f32>],
        steps: &[Step],
        placement: crate::passing::Placement,
        stops: bool,
    ) -> Vec<Vec<f32>>;
}

fn told<T: std::str::FromStr>(name: &str, otherwise: T) -> T {
    let Ok(text) = env::var(name) else { return otherwise };
    text.parse().unwrap_or_else(|_| panic!("{name} is {text:?}, which is no number"))
}

/// A session of as many minutes as are asked for, on a display of its own. `test` is the test's name with its modules.
pub fn lasts<H: Lasts>(test: &str) {
    // One store for all threads: each stint has a thread of its own, and for each the system's allocator (mallopt(3)) may
    // begin another store, and hold back in it what was given back.
    on_a_display_and_with(test, &[("MALLOC_ARENA_MAX", "1")], play::<H>);
}

fn play<H: Lasts>() {
    let (minutes, seed) = (told(MINUTES, SHORT_MINUTES), told(SEED, USUAL_SEED));
    println!("{}: {minutes} minutes of sound; {SEED}={seed} plays them again", H::FORMAT);
    let parent = Parent::open(None);
    let mut session = Session {
        host: H::new(2),
        channels: 2,
        rate: 48_000.0,
        open: false,
        parent,
        chance: Chance::new(seed),
        saved: Vec::new(),
        at_s: 0.0,
        counted: Counted::default(),
    };
    session.host.activate(session.rate);
    for _ in 0..FIRST_OPENINGS {
        session.play();
        session.open();
        session.play();
        session.close();
    }
    session.counted = Counted::default();
    session.count();
    // Something of each kind even in the shortest form.
    for event in 0..Session::<H>::EVENTS {
        session.event(event);
        session.play();
    }
    while session.counted.seconds < minutes * 60.0 {
        let event = session.chance.below(3 * Session::<H>::EVENTS);
        session.event(event);
        session.play();
    }
    session.close();
    session.count();
    drop(session.host);
    let counted = session.counted;
    println!("{}: {counted}", H::FORMAT);
    counted.hold(MOST_KIB, MOST_KIB_AN_OPENING, H::FILES_AN_OPENING);
}

struct Session<H> {
    host: H,
    channels: usize,
    rate: f64,
    open: bool,
    parent: Parent,
    chance: Chance,
    /// The last states that were saved.
    saved: Vec<Vec<u8>>,
    /// Where the song is, in seconds.
    at_s: f64,
    counted: Counted,
}

impl<H: Lasts> Session<H> {
    /// Kinds of events; beyond them nothing happens.
    const EVENTS: u64 = 7;

    fn event(&mut self, event: u64) {
        match event {
            0 => {
                self.rate = *self.chance.one_of(&RATES);
                self.host.activate(self.rate);
                self.counted.activations += 1;
            }
            1 if self.open => self.close(),
            1 => self.open(),
            2 => {
                self.saved.push(self.host.save());
                if self.saved.len() > 8 {
                    self.saved.remove(0);
                }
                self.counted.saved += 1;
            }
            3 if !self.saved.is_empty() => {
                let saved = self.chance.one_of(&self.saved);
                assert!(self.host.load(saved), "a state that was saved is not taken");
                self.counted.loaded += 1;
            }
            4 => {
                self.close();
                self.channels = 3 - self.channels;
                self.host.set_channels(self.channels);
                self.host.activate(self.rate);
                self.counted.activations += 1;
            }
            5 => self.make_anew(),
            6 => self.count(),
            _ => {}
        }
    }

    /// The project is closed and opened again.
    fn make_anew(&mut self) {
        self.close();
        let kept = self.host.save();
        self.host = H::new(self.channels);
        assert!(self.host.load(&kept), "the project's state is not taken");
        self.host.activate(self.rate);
        self.counted.instances += 1;
    }

    fn play(&mut self) {
        let parameters = self.host.parameters();
        let steps = stint::steps(&mut self.chance, self.rate, parameters, &mut self.at_s);
        let frames = steps.iter().map(|step| step.frames).sum();
        let input = stint::sound(&mut self.chance, self.channels, frames);
        let placement = *self.chance.one_of(&PLACEMENTS);
        let stops = self.chance.below(4) == 0;
        let output = self.host.play_steps(&input, &steps, placement, stops);
        let stint = self.counted.stints;
        let what = format!("stint {stint}, {} channels at {} Hz, {placement:?}", self.channels, self.rate);
        assert_same(&output, &input, &what);
        self.host.serve();
        self.counted.play(&steps, frames as f64 / self.rate);
        if !self.open {
            self.count();
        }
    }

    fn count(&mut self) {
        if !self.open {
            self.counted.taken.push((self.counted.seconds, self.counted.openings, Taken::now()));
        }
    }

    fn open(&mut self) {
        hosting::open(&mut self.host, &self.parent);
        self.open = true;
        self.counted.openings += 1;
    }

    fn close(&mut self) {
        if std::mem::take(&mut self.open) {
            let before = threads();
            hosting::close(&mut self.host, &self.parent);
            // The window's own thread gives its memory back when it ends.
            wait_for(&mut self.host, "the end of the window's thread", || threads() < before);
        }
    }
}
