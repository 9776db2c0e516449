//! An audition held with the mouse in the plugin's own window, whatever host it is in: when it sounds, what it plays,
//! and that no print ever holds it.

mod noise;

pub use noise::the_noise_sounds_only_while_it_is_held;

use std::thread::sleep;
use std::time::{Duration, Instant};

use candlemark_editor::{Choice, Controls, Look, show};
use candlemark_session::view::View;
use egui::{Event, Pos2, pos2, vec2};

use crate::hosting::Hosts;
use crate::picture;
use crate::signals::Noise;
use crate::x11::{Parent, on_a_display_of_its_own};

/// The sample rate of it all, in hertz.
pub const RATE: f64 = 48_000.0;
/// Frames of a block, a hundredth of a second.
pub const BLOCK: usize = 480;
const BLOCK_TIME: Duration = Duration::from_millis(10);

/// Blocks in a second.
const SECOND: usize = RATE as usize / BLOCK;
/// Blocks until what a hand has done in the window is heard; a busy machine paints slowly.
const HAND: usize = 2 * SECOND;
/// A busy machine may let the window's heartbeat be late, which rightly ends an audition, and may let the window see the end
/// of one press and the start of the next at once, which rightly begins none.
const TRIES: usize = 3;

/// Blocks until an end is heard that is not at once: the one that sees it, and the way back of a hundredth of a second.
const ENDS: usize = 2;
/// Blocks until the end is heard where the window hangs: 150 ms since its heartbeat, the way back, and what the window had
/// begun when it was stopped.
const HANGS: usize = 15 + ENDS + 5;

/// The editor's window as it opens, in points.
const WINDOW: egui::Vec2 = vec2(1084.0, 680.0);

/// What a host says of its transport.
#[derive(Clone, Copy)]
pub struct Told {
    /// Where in the song it is, in seconds. `None` while it stands still.
    pub at_s: Option<f64>,
    /// It records.
    pub records: bool,
}

/// A way to let processing begin anew, without setting the plugin up.
pub struct Restart<H> {
    /// What is done.
    pub name: &'static str,
    /// Does it. A block that follows is processed in any case.
    pub restart: fn(&mut H),
}

/// A host with one stereo instance of the plugin, which tells it of a transport and of renders.
pub trait Auditions: Hosts + 'static {
    /// Every way of its format.
    const RESTARTS: &'static [Restart<Self>];
    /// Sets the plugin up for playback or for an offline render, after taking it down if it was set up.
    fn set_up(&mut self, offline: bool);
    /// Plays in blocks of [`BLOCK`] frames, and gives what came out. Processing goes on from one call to the next.
    fn play_told(&mut self, input: &[Vec<f32>], told: Told) -> Vec<Vec<f32>>;
}

/// A place in the window.
#[derive(Clone, Copy)]
pub struct Place {
    /// Pixels from its left edge.
    pub x: i16,
    /// Pixels from its upper edge.
    pub y: i16,
}

/// Where words are written in the editor's window.
fn place_of(words: &str) -> Place {
    place_after(&[], words, Look::default())
}

/// Where words are written in the window after clicks at these places.
///
/// # Panics
///
/// When they are written nowhere.
pub fn place_after(clicks: &[Place], words: &str, look: Look) -> Place {
    let controls = Controls { stereo: true, ..Controls::default() };
    let click = |place: &Place| picture::click(pos2(place.x.into(), place.y.into()));
    let events: Vec<Event> = clicks.iter().flat_map(click).collect();
    let shapes = picture::shapes_after(&events, WINDOW, 1.0, |ui| {
        show(ui, &View::default(), &Choice::default(), &controls, look);
    });
    let written = picture::place_of(&shapes, words);
    let Pos2 { x, y } = written.unwrap_or_else(|| panic!("“{words}” is not written in the window"));
    Place { x: x as i16, y: y as i16 }
}

/// What came out of a block, beside what went in.
#[derive(Debug, PartialEq, Eq, Clone, Copy)]
enum Heard {
    /// The song, bit for bit.
    Song,
    /// The mono fold from both speakers, at some gain.
    Mono,
    /// Neither: the way from one to the other.
    Between,
}

/// Whether it is the song, bit for bit.
fn is_song(input: &[Vec<f32>], output: &[Vec<f32>]) -> bool {
    let same =
        |a: &[f32], b: &[f32]| a.len() == b.len() && a.iter().zip(b).all(|(a, b)| a.to_bits() == b.to_bits());
    same(&input[0], &output[0]) && same(&input[1], &output[1])
}

fn heard(input: &[Vec<f32>], output: &[Vec<f32>]) -> Heard {
    if is_song(input, output) {
        return Heard::Song;
    }
    let fold = |n: usize| f64::midpoint(f64::from(input[0][n]), f64::from(input[1][n]));
    let mut frames = 0..output[0].len();
    let energy: f64 = frames.clone().map(|n| fold(n) * fold(n)).sum();
    let gain = frames.clone().map(|n| f64::from(output[0][n]) * fold(n)).sum::<f64>() / energy;
    let is_mono = frames
        .all(|n| output[0][n] == output[1][n] && (f64::from(output[0][n]) - gain * fold(n)).abs() < 1e-6);
    // The song is of two unrelated sides: 3 dB are made up for, and no more.
    if is_mono && (0.99..1.42).contains(&gain) { Heard::Mono } else { Heard::Between }
}

/// How what sounds is ended while the button is down.
struct End<H: Auditions> {
    name: &'static str,
    happens: fn(&mut Studio<'_, H>),
    /// Blocks until nothing of it is left.
    within: usize,
    /// Makes everything as it was, before the button is let go.
    after: fn(&mut Studio<'_, H>),
}

fn nothing<H: Auditions>(_: &mut Studio<'_, H>) {}

/// Gives the plugin its own state back, as where a project is opened again.
fn reload(host: &mut impl Hosts) {
    let saved = host.save();
    assert!(host.load(&saved));
}

/// What ends everything that sounds, wherever the song is.
fn wherever_it_is<H: Auditions>() -> [End<H>; 3] {
    [
        End { name: "a project is loaded", happens: |it| reload(it.host), within: ENDS, after: nothing },
        End {
            name: "the window hangs",
            happens: |it| it.parent.freezes(true),
            within: HANGS,
            after: |it| it.parent.freezes(false),
        },
        End {
            name: "the window loses the keyboard",
            happens: |it| it.parent.take_keyboard(),
            within: HAND,
            after: nothing,
        },
    ]
}

/// A person at the plugin's window, and a host that plays in real time.
struct Studio<'a, H> {
    host: &'a mut H,
    parent: &'a Parent,
    noise: Noise,
    /// Standard deviation of the song's samples: it is noise.
    deviation: f64,
    told: Told,
    next: Instant,
}

impl<'a, H: Auditions> Studio<'a, H> {
    /// Opens the window, and plays until it is painted.
    fn open(host: &'a mut H, parent: &'a Parent, told: Told) -> Self {
        host.set_up(false);
        host.open(parent.window());
        let noise = Noise::new(64);
        let mut studio = Self { host, parent, noise, deviation: 0.1, told, next: Instant::now() };
        let begun = Instant::now();
        while parent.colours() < 10 {
            assert!(begun.elapsed() < Duration::from_secs(20), "the window is not painted");
            studio.block();
        }
        studio
    }

    /// Plays a block in its own time, and gives what went in and what came out.
    fn pass(&mut self) -> [Vec<Vec<f32>>; 2] {
        sleep(self.next.saturating_duration_since(Instant::now()));
        self.next = self.next.max(Instant::now()) + BLOCK_TIME;
        self.host.serve();
        let input = vec![self.noise.white(BLOCK, self.deviation), self.noise.white(BLOCK, self.deviation)];
        let output = self.host.play_told(&input, self.told);
        self.told.at_s = self.told.at_s.map(|at_s| at_s + BLOCK as f64 / RATE);
        [input, output]
    }

    /// The same, and says what was heard.
    fn block(&mut self) -> Heard {
        let [input, output] = self.pass();
        heard(&input, &output)
    }

    /// Plays so many blocks, each of which must be heard as this.
    fn hears(&mut self, wanted: Heard, blocks: usize, when: &str) {
        for block in 0..blocks {
            assert_eq!(self.block(), wanted, "{when}, block {block}");
        }
    }

    /// Plays until the song is heard as it is, which must be within so many blocks.
    fn lets_go(&mut self, blocks: usize, when: &str) {
        let came = (0..=blocks).any(|_| self.block() == Heard::Song);
        assert!(came, "{when}: it still sounds after {blocks} blocks");
    }

    /// Plays until this is heard, which must be within the time of a hand.
    fn waits_for(&mut self, wanted: Heard, when: &str) {
        let came = (0..HAND).any(|_| self.block() == wanted);
        assert!(came, "{when}: {wanted:?} did not come");
    }

    /// Presses a button, and plays until what is heard is what is waited for. Gives that block's output.
    fn press_until(&mut self, place: Place, is_it: fn(Heard) -> bool, when: &str) -> Vec<Vec<f32>> {
        for _ in 0..TRIES {
            self.press(place);
            for _ in 0..HAND {
                let [input, output] = self.pass();
                if is_it(heard(&input, &output)) {
                    return output;
                }
            }
            self.parent.release();
            self.hears(Heard::Song, HAND, when);
        }
        panic!("{when}: pressed {TRIES} times, and nothing came");
    }

    fn press(&mut self, place: Place) {
        self.parent.move_pointer(place.x, place.y);
        // A hand moves before it presses.
        self.block();
        self.parent.press();
    }

    fn click(&mut self, place: Place) {
        self.press(place);
        for _ in 0..10 {
            self.block();
        }
        self.parent.release();
    }

    /// Ends what sounds while the button is down, and lets go of it.
    fn ends_by(&mut self, end: &End<H>) {
        (end.happens)(self);
        self.lets_go(end.within, end.name);
        self.hears(Heard::Song, SECOND / 2, end.name);
        (end.after)(self);
        self.hears(Heard::Song, SECOND / 2, end.name);
        self.parent.release();
        self.hears(Heard::Song, SECOND / 5, end.name);
    }

    /// Renders five seconds of the song faster than time.
    fn render(&mut self, when: &str) {
        let frames = RATE as usize * 5;
        let input = vec![self.noise.white(frames, self.deviation), self.noise.white(frames, self.deviation)];
        let output = self.host.play_told(&input, Told { at_s: Some(0.0), records: false });
        assert_eq!(heard(&input, &output), Heard::Song, "{when}");
    }
}

/// Holds and latches auditions in the plugin's window through playback, restarts, a recording, renders, a start and the
/// window's end. `test` is the test's name with its modules.
///
/// # Panics
///
/// When one sounds where it must not, does not where it must, or is not what it says.
pub fn sounds_only_while_it_may<H: Auditions>(test: &str) {
    on_a_display_of_its_own(test, || hold_and_latch(&mut H::new(2), &Parent::open(None)));
}

fn hold_and_latch<H: Auditions>(host: &mut H, parent: &Parent) {
    let (hear, latch) = (place_of("Hear mono"), place_of("Latch"));
    let mut studio = Studio::open(host, parent, Told { at_s: Some(10.0), records: false });
    studio.hears(Heard::Song, 50, "nothing is asked for");

    studio.press_until(hear, |heard| heard == Heard::Mono, "the button is pressed");
    studio.hears(Heard::Mono, 120, "the button is held");
    studio.parent.release();
    studio.waits_for(Heard::Song, "the button is let go");
    studio.hears(Heard::Song, 30, "the button is let go");

    for Restart { name, restart } in H::RESTARTS {
        studio.press_until(hear, |heard| heard == Heard::Mono, "held before a restart");
        studio.hears(Heard::Mono, 20, "processing goes on");
        restart(studio.host);
        studio.hears(Heard::Song, 100, name);
        studio.parent.release();
        studio.hears(Heard::Song, 20, "let go after a restart");
    }

    for end in wherever_it_is() {
        studio.press_until(hear, |heard| heard == Heard::Mono, end.name);
        studio.ends_by(&end);
    }

    studio.press_until(hear, |heard| heard == Heard::Mono, "held before a recording");
    studio.told.records = true;
    studio.hears(Heard::Song, 50, "the host records while it is held");
    studio.parent.release();
    studio.hears(Heard::Song, 20, "let go while the host records");
    studio.press(hear);
    studio.hears(Heard::Song, 50, "asked for while the host records");
    studio.told.records = false;
    studio.hears(Heard::Song, 50, "the recording is over");
    studio.parent.release();
    studio.hears(Heard::Song, 20, "let go after the recording");

    // A render while it is held, and playback after it.
    studio.press_until(hear, |heard| heard == Heard::Mono, "held again");
    studio.host.set_up(true);
    studio.render("a render while it is held");
    studio.render("more of it");
    studio.host.set_up(false);
    studio.next = Instant::now();
    studio.hears(Heard::Song, 100, "playback after the render: held, but asked for before it");
    studio.parent.release();
    studio.hears(Heard::Song, 20, "let go");

    // Latched, then rendered without a word that it is a render.
    studio.click(latch);
    studio.waits_for(Heard::Mono, "latched");
    studio.hears(Heard::Mono, 50, "latched, without a hand");
    studio.host.set_up(false);
    studio.render("a render that calls itself playback");
    studio.next = Instant::now();
    studio.hears(Heard::Song, 100, "playback after it");

    // The latch still says what was asked for: a click lets go of it, another asks anew.
    studio.click(latch);
    studio.hears(Heard::Song, HAND, "nothing is asked for any more");
    studio.click(latch);
    studio.waits_for(Heard::Mono, "latched anew");
    studio.told.at_s = None;
    studio.hears(Heard::Mono, 20, "playback stops, and the sound goes on");
    studio.told.at_s = Some(0.0);
    studio.hears(Heard::Song, 50, "playback starts");

    studio.click(latch);
    studio.hears(Heard::Song, HAND, "nothing is asked for");
    studio.click(latch);
    studio.waits_for(Heard::Mono, "latched once more");
    studio.host.close();
    // The way back takes a hundredth of a second.
    studio.block();
    studio.block();
    studio.hears(Heard::Song, 50, "the window is closed");
}
