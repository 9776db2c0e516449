//! `cargo xtask trial workstation`: the built plugin in a workstation of the trade.

mod ardour;
mod base64;
mod display;
mod sound;

use std::path::{Path, PathBuf};
use std::thread::sleep;
use std::time::Duration;

use anyhow::{Context, Result, bail, ensure};
use clap::Args;

use self::ardour::{Ardour, MAIN_WINDOW, Studio};
use self::display::Window;
use self::sound::{RATE, Sound};
use crate::apt::{self, Need};
use crate::bundle::{self, Profile};
use crate::{folders, process, setup, swap};

/// The built VST3 last on the master bus of Ardour 7, through a session's life
///
/// Installs Ardour (by apt-get) and drives it on a display without a screen, in a home of its own under target/workstation,
/// with no sound card: the plugin is found, put last on the master bus, saved and opened again, and what the bus sends out is
/// exported and recorded, also while mono is latched in the plugin's window. It prints what was seen at each stage, fails
/// where one does not hold, and leaves pictures of the window there. Ten minutes at most.
#[derive(Args)]
pub(crate) struct Options {}

const NEEDS: [Need; 4] = [
    Need { package: "ardour", why: "the workstation", present: || process::exists("ardour7-lua") },
    Need { package: "xvfb", why: "a display without a screen", present: || process::exists("Xvfb") },
    Need {
        package: "xdotool",
        why: "a hand on that display's mouse",
        present: || process::exists("xdotool"),
    },
    Need { package: "ffmpeg", why: "pictures of that display", present: || process::exists("ffmpeg") },
];

/// Times that a hand presses: a busy machine may let the window's heartbeat be late, which rightly ends an audition, and
/// after an end the first press only lets go of what was asked for.
const TRIES: usize = 4;
/// Until a hand's doing is heard and the workstation's meters have fallen to it.
const HEARD: Duration = Duration::from_secs(3);
/// Of the master's two sides, in decibels: in mono they are the same, and the song's are 14 apart (0.5 over 0.1).
const SAME_DB: f64 = 0.01;
/// What a state says when what sounds is told to be aside.
const ASIDE: &str = r#""aside":{"bool":true}"#;

/// What was seen so far.
#[derive(Default)]
struct Stages {
    failed: Vec<&'static str>,
}

impl Stages {
    fn tell(&mut self, stage: &'static str, seen: &str, holds: bool) {
        println!("{stage:<50} {seen}{}", if holds { "" } else { "  DOES NOT HOLD" });
        if !holds {
            self.failed.push(stage);
        }
    }

    /// Tells how much two sounds differ, which should be nothing.
    fn compare(&mut self, stage: &'static str, song: &Sound, heard: &Sound) -> Result<()> {
        let differ = song.differing(heard).context(stage)?;
        self.tell(stage, &format!("{differ} of {} samples differ", 2 * heard.frames()), differ == 0);
        Ok(())
    }
}

/// The trial under way.
struct Trial<'a> {
    folder: &'a Path,
    studio: &'a Studio,
    song: &'a Sound,
    stages: Stages,
}

pub(crate) fn run() -> Result<()> {
    setup::outside()?;
    apt::ensure(&NEEDS)?;
    let bundles = bundle::build(Profile::Debug)?;
    let (latch, aside) = (place_of("Latch")?, place_of("Aside")?);
    let folder = swap::emptied(folders::target().join("workstation"))?;
    let song = Sound::song();
    song.write(&folder.join("song.wav"))?;
    let studio = Studio::set_up(&folder, &bundles.vst3)?;
    studio.make_session(RATE)?;
    let mut trial = Trial { folder: &folder, studio: &studio, song: &song, stages: Stages::default() };
    let saved = trial.first_evening()?;
    trial.second_evening(&saved, latch, aside)?;
    println!("Pictures of the window are in {}.", folder.display());
    let failed = trial.stages.failed;
    ensure!(failed.is_empty(), "does not hold: {}", failed.join("; "));
    Ok(())
}

/// Where words are written in the plugin's window: told by the program that draws it.
fn place_of(words: &str) -> Result<(i32, i32)> {
    let place =
        ["run", "--quiet", "--locked", "--package", "candlemark-tests", "--example", "place", "--", words];
    let told = process::output(&mut process::cargo(place))?;
    let place = told.trim().split_once(' ').and_then(|(x, y)| Some((x.parse().ok()?, y.parse().ok()?)));
    place.with_context(|| format!("where is “{words}”? {told:?}"))
}

impl Trial<'_> {
    /// From an empty session to one that is saved with the plugin. Gives the state that was saved.
    fn first_evening(&mut self) -> Result<String> {
        let mut ardour = self.studio.open()?;
        let plugins = ardour.ask(include_str!("workstation/scripts/plugins.lua"), &[])?;
        let ours: Vec<&Vec<String>> = plugins.iter().filter(|plugin| plugin[0] == "Candlemark").collect();
        let [plugin] = ours[..] else { bail!("Ardour finds {} plugins of ours: {plugins:?}", ours.len()) };
        let number = plugin[1].clone();
        self.stages.tell("found among the VST3 plugins", &format!("number {number}"), true);

        let song = self.folder.join("song.wav");
        let song = song.to_string_lossy();
        ardour.ask(include_str!("workstation/scripts/song.lua"), &[("song", &song)])?;
        let without = self.export(&mut ardour, "without")?;
        self.stages.compare("exported without it, beside the song", self.song, &without)?;
        ardour.ask(include_str!("workstation/scripts/gain.lua"), &[("gain_db", "-1")])?;
        let softer = self.export(&mut ardour, "softer")?;
        ardour.ask(include_str!("workstation/scripts/gain.lua"), &[("gain_db", "0")])?;
        let differ = without.differing(&softer)?;
        let seen = format!("{differ} of {} samples differ, as they should", 2 * softer.frames());
        self.stages.tell("the same, 1 dB softer: the comparison can fail", &seen, differ > without.frames());

        let told = ardour.ask(include_str!("workstation/scripts/insert.lua"), &[("number", &number)])?;
        let order = &told[0][0];
        let is_last = order.contains("Fader, Candlemark, main outs");
        self.stages.tell("put last on the master bus", order, is_last);
        let count = &told[1][0];
        self.stages.tell("parameters it offers to automate", count, count == "0");
        let with = self.export(&mut ardour, "with")?;
        self.stages.compare("exported with it, beside without", &without, &with)?;

        ardour.ask(include_str!("workstation/scripts/save.lua"), &[])?;
        let fresh = self.studio.state()?;
        let window = self.open_editor(&mut ardour, "window.png")?;
        let seen = format!("{} × {} pixels", window.width, window.height);
        self.stages.tell("its window opened from the mixer", &seen, true);
        // The hint for the first time lies along the window's upper edge and leaves by a click: a state that is not the one a
        // fresh plugin has.
        self.studio.display.click((window.x + window.width / 2, window.y + 24), 1)?;
        sleep(HEARD);
        ardour.ask(include_str!("workstation/scripts/save.lua"), &[])?;
        let saved = self.studio.state()?;
        let seen =
            format!("{} bytes; a fresh one has {}", base64::text(&saved).len(), base64::text(&fresh).len());
        self.stages.tell("saved, after the hint was read", &seen, saved != fresh);
        ardour.quit()?;
        Ok(saved)
    }

    /// The session again: its state, and what is recorded and exported.
    fn second_evening(&mut self, saved: &str, latch: (i32, i32), aside: (i32, i32)) -> Result<()> {
        let mut ardour = self.studio.open()?;
        ardour.ask(include_str!("workstation/scripts/save.lua"), &[])?;
        let opened = self.studio.state()?;
        let seen = format!(
            "{} bytes, {}",
            base64::text(&opened).len(),
            if opened == saved { "the same" } else { "others" }
        );
        self.stages.tell("opened again: its state", &seen, opened == saved);

        ardour.ask(include_str!("workstation/scripts/print.lua"), &[])?;
        start(&mut ardour)?;
        ardour.ask(include_str!("workstation/scripts/record.lua"), &[])?;
        ardour.ask(include_str!("workstation/scripts/roll.lua"), &[])?;
        let end = self.song.frames();
        ardour.wait("the song's end", |ardour| Ok((transport(ardour)?.at > end).then_some(())))?;
        let take = taken(&mut ardour, &[])?;
        let recorded = Sound::read_sides(&take.0, &take.1)?;
        let under = self.song.under(&recorded)?;
        self.stages.compare("recorded in real time, beside the song", &under.song, &recorded)?;
        let late = under.starts.context("the recording begins behind the song's start")?;
        let seen = format!("{late} frames");
        self.stages.tell("from the bus to the recording, on the way", &seen, late < RATE as usize);

        let window = self.open_editor(&mut ardour, "again.png")?;
        // A parameter that Ardour knows nothing of: it hands none back.
        for (stage, is_pressed) in [("aside pressed in its window", true), ("and once more", false)] {
            self.studio.display.click((window.x + aside.0, window.y + aside.1), 1)?;
            sleep(HEARD);
            ardour.ask(include_str!("workstation/scripts/save.lua"), &[])?;
            let told =
                if base64::text(&self.studio.state()?).contains(ASIDE) { "aside" } else { "not aside" };
            self.stages.tell(stage, told, (told == "aside") == is_pressed);
        }
        let latch = (window.x + latch.0, window.y + latch.1);
        self.latch(&mut ardour, "mono latched while it plays: the master's sides", latch)?;
        self.studio.display.picture(&self.folder.join("latched.png"))?;
        let latched = self.export(&mut ardour, "latched")?;
        self.stages.compare("exported meanwhile, beside the song", self.song, &latched)?;

        self.latch(&mut ardour, "mono latched anew: the master's sides", latch)?;
        ardour.ask(include_str!("workstation/scripts/record.lua"), &[])?;
        sleep(HEARD);
        let take = taken(&mut ardour, &[take])?;
        let recorded = Sound::read_sides(&take.0, &take.1)?;
        // What had left the plugin before the recording began is on its way still, and is mono.
        let under = self.song.under(&recorded)?.song;
        let mono = under.differing(&recorded)?;
        let seen = format!("{mono} samples differ");
        self.stages.tell("recorded from then on, with what was on the way", &seen, mono <= 2 * late);
        self.stages.compare(
            "the same behind it, beside the song",
            &under.from(late),
            &recorded.from(late),
        )?;
        ardour.ask(include_str!("workstation/scripts/save.lua"), &[])?;
        ardour.quit()
    }

    /// What the master bus sends out, faster than time.
    fn export(&self, ardour: &mut Ardour, name: &str) -> Result<Sound> {
        let into = self.folder.join("exports");
        let (into_words, frames) = (into.to_string_lossy(), self.song.frames().to_string());
        let words = [("into", &*into_words), ("name", name), ("frames", &frames)];
        ardour.ask(include_str!("workstation/scripts/export.lua"), &words)?;
        Sound::read(&into.join(name).with_extension("wav"))
    }

    /// Opens the plugin's window from the mixer, and draws the screen into a file.
    fn open_editor(&self, ardour: &mut Ardour, picture: &str) -> Result<Window> {
        let display = &self.studio.display;
        ardour.ask(include_str!("workstation/scripts/mixer.lua"), &[])?;
        sleep(HEARD);
        let mixer = display.window(MAIN_WINDOW)?.context("Ardour's window is not on the screen")?;
        // The strip of the master bus stands at the right, and what is on the bus in its upper part, a row each. Where the
        // rows are depends on fonts: from the fader on, row by row half, until the plugin's window is there.
        for y in (185..260).step_by(8) {
            display.click((mixer.x + mixer.width - 55, mixer.y + y), 2)?;
            sleep(HEARD);
            if let Some(window) = display.window("Candlemark")? {
                display.picture(&self.folder.join(picture))?;
                return Ok(window);
            }
        }
        let path = self.folder.join("mixer.png");
        display.picture(&path)?;
        bail!("the plugin is not in the mixer where it is looked for; see {}", path.display())
    }

    /// Plays the song, and latches mono in the plugin's window until it is heard.
    fn latch(&mut self, ardour: &mut Ardour, stage: &'static str, place: (i32, i32)) -> Result<()> {
        start(ardour)?;
        ardour.ask(include_str!("workstation/scripts/roll.lua"), &[])?;
        sleep(HEARD);
        let song = meters(ardour)?;
        let mut seen = song;
        for _ in 0..TRIES {
            self.studio.display.click(place, 1)?;
            sleep(HEARD);
            seen = meters(ardour)?;
            if (seen.0 - seen.1).abs() < SAME_DB {
                break;
            }
        }
        let told = format!("{:.1} and {:.1} dB, before {:.1} and {:.1}", seen.0, seen.1, song.0, song.1);
        let holds = (seen.0 - seen.1).abs() < SAME_DB && (song.0 - song.1).abs() > 10.0;
        self.stages.tell(stage, &told, holds);
        Ok(())
    }
}

/// Brings the transport to the song's start, where it stands.
fn start(ardour: &mut Ardour) -> Result<()> {
    ardour.ask(include_str!("workstation/scripts/start.lua"), &[])?;
    ardour.wait("the song's start", |ardour| {
        let transport = transport(ardour)?;
        Ok((transport.at == 0 && !transport.rolls).then_some(()))
    })
}

/// Stops a recording, and gives its two files: those that are not of a take before.
fn taken(ardour: &mut Ardour, before: &[(PathBuf, PathBuf)]) -> Result<(PathBuf, PathBuf)> {
    ensure!(transport(ardour)?.records, "Ardour does not record");
    ardour.ask(include_str!("workstation/scripts/stop.lua"), &[])?;
    ardour.wait("a take", |ardour| {
        if transport(ardour)?.rolls {
            return Ok(None);
        }
        let takes = ardour.ask(include_str!("workstation/scripts/takes.lua"), &[])?;
        let takes = takes.iter().map(|take| (PathBuf::from(&take[0]), PathBuf::from(&take[1])));
        Ok(takes.into_iter().find(|take| !before.contains(take)))
    })
}

/// What Ardour says of its transport.
struct Transport {
    /// In frames.
    at: usize,
    rolls: bool,
    records: bool,
}

fn transport(ardour: &mut Ardour) -> Result<Transport> {
    let told = ardour.ask(include_str!("workstation/scripts/transport.lua"), &[])?;
    let words = told.first().context("Ardour says nothing of its transport")?;
    let [at, rolls, records] = &words[..] else { bail!("what of the transport? {words:?}") };
    Ok(Transport { at: at.parse()?, rolls: rolls == "true", records: records == "true" })
}

/// The peaks of the master's two sides, in decibels.
fn meters(ardour: &mut Ardour) -> Result<(f64, f64)> {
    let told = ardour.ask(include_str!("workstation/scripts/meters.lua"), &[])?;
    let words = told.first().context("Ardour's meters say nothing")?;
    Ok((words[0].parse()?, words[1].parse()?))
}
