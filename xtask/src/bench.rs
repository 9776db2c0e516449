//! `cargo xtask bench`: what measuring costs, always beside a peer or a limit in the same run.

use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context, Result};
use clap::Args;
use serde_json::Value;

use crate::apt::{self, Need};
use crate::bundle::{self, Profile};
use crate::{folders, process};

mod accuracy;
mod files;
mod instructions;
mod table;

use instructions::{Counter, PLAY, PROCESS, PUSH, TAPE};
use table::{Row, Table};

/// Measures what measuring costs, and prints a table: each figure beside its peer or limit, their ratio, and whether the goal
/// is held. The accuracies that the standards' tests find stand first.
///
/// All sound is loud, stereo, at 48 kHz. The peer of the Analyzer is the ebur128 crate, with momentary, short-term,
/// integrated, range and true peak, and only fed. Times are medians of runs in turns; only the ratio means something on
/// another machine. Instructions are counted with Valgrind, which noise on the machine can't change.
#[derive(Args)]
pub(crate) struct Options {
    /// Time alone: without counting instructions, and without the accuracies
    #[arg(long)]
    quick: bool,
    /// Length in seconds of the sound in which the longest push is looked for; counting its instructions takes as long again
    #[arg(long, value_name = "SECONDS", default_value_t = 600, value_parser = clap::value_parser!(u32).range(10..=3600))]
    seconds: u32,
}

/// How often everything is timed; the median counts.
const RUNS: u32 = 7;
/// Length of the sound that is timed.
const TIMED_S: u32 = 60;
/// Length of the sound of which instructions are counted.
const COUNTED_S: u32 = 10;
/// Instances at once.
const INSTANCES: u32 = 100;

pub(crate) fn run(options: &Options) -> Result<()> {
    apt::ensure(&[
        Need {
            package: "valgrind",
            why: "counts the instructions of the benchmark",
            present: || process::exists("valgrind"),
        },
        Need { package: "ffmpeg", why: "a peer in reading files", present: || process::exists("ffmpeg") },
    ])?;
    let mut table = Table::default();
    if !options.quick {
        accuracy::rows(&mut table)?;
    }
    let bench = Bench::build()?;
    bench.times(&mut table)?;
    bench.longest_by_time(options.seconds, &mut table)?;
    bench.instances(&mut table)?;
    bench.frames(&mut table)?;
    files::rows(&bench, &mut table)?;
    if !options.quick {
        bench.instructions(options.seconds, &mut table)?;
    }
    println!("{table}");
    Ok(())
}

/// What was built for it.
pub(super) struct Bench {
    measures: PathBuf,
    clap: PathBuf,
    command: PathBuf,
}

impl Bench {
    fn build() -> Result<Self> {
        let clap = bundle::build(Profile::Release)?.clap;
        Profile::Release.build(&["candlemark-command"])?;
        let command = Profile::Release.program("candlemark")?;
        let measures =
            ["build", "--release", "--locked", "--package", "candlemark-tests", "--bench", "measures"];
        Ok(Self { measures: process::built(&mut process::cargo(measures))?, clap, command })
    }

    /// Runs a part of the benchmark; gives the JSON that it prints.
    fn measure(&self, arguments: &[&str]) -> Result<Value> {
        let mut command = Command::new(&self.measures);
        command.args(arguments).env("CANDLEMARK_CLAP", &self.clap);
        eprintln!("$ {}", process::line(&command));
        let printed = process::output(&mut command)?;
        serde_json::from_str(&printed).with_context(|| format!("{printed:?} is no JSON"))
    }

    fn times(&self, table: &mut Table) -> Result<()> {
        let [seconds, runs] = [TIMED_S, RUNS].map(|n| n.to_string());
        let found = self.measure(&["compare", "--seconds", &seconds, "--runs", &runs])?;
        let row = |figure, subject: &str, peer: &str, peer_name, goal| -> Result<Row> {
            let (ours, theirs) = (number(&found[subject]["ns"])?, number(&found[peer]["ns"])?);
            Ok(Row::new(figure, ours, peer_name, theirs, "ns a frame", goal)
                .with_ratio(number(&found[subject]["beside"][peer])?))
        };
        let alone = "ebur128 crate, fed alone";
        table.add(row("all that the Analyzer measures", "analyzer", "ebur128", alone, Some(0.5))?);
        table.add(row("the same five figures", "loudness", "ebur128", alone, Some(0.25))?);
        let asked = "ebur128 crate, asked as a display does";
        table.add(row("all that the Analyzer measures", "analyzer", "ebur128_asked", asked, None)?);
        Ok(())
    }

    fn longest_by_time(&self, seconds: u32, table: &mut Table) -> Result<()> {
        let found = self.measure(&["pushes", "--seconds", &seconds.to_string(), "--runs", "5"])?;
        let (longest, own) = (number(&found["longest_ns"])?, number(&found["own_ns"])?);
        let figure = format!("longest push of 64 frames, in {seconds} s, each at its best of 5");
        table.add(Row::new(&figure, longest / 1e3, "its own real time", own / 1e3, "µs", Some(0.05)));
        Ok(())
    }

    fn instances(&self, table: &mut Table) -> Result<()> {
        let count = INSTANCES.to_string();
        let found = self.measure(&["instances", "--count", &count, "--seconds", "20"])?;
        let (work, passed) = (number(&found["at_work_s"])?, number(&found["passed_s"])?);
        let figure = format!("{INSTANCES} instances in step with the clock, host and clerk included");
        table.add(Row::new(&figure, work, "one core", passed, "s", Some(0.5)));
        let each = number(&found["each_mib"])?;
        table.add(Row::new("memory of each after 20 s, tape included", each, "limit", 8.0, "MiB", Some(1.0)));
        Ok(())
    }

    /// What the editor takes for a frame of 1084 × 680 points.
    fn frames(&self, table: &mut Table) -> Result<()> {
        let found = self.measure(&["frames", "--runs", "5"])?;
        for view in ["near", "far"] {
            for (which, key) in [("median", "median_ms"), ("longest, each at its best of 5", "worst_ms")] {
                let figure = format!("the editor’s frame, {view} view, {which}");
                table.add(Row::new(&figure, number(&found[view][key])?, "limit", 3.0, "ms", Some(1.0)));
            }
        }
        Ok(())
    }

    fn instructions(&self, seconds: u32, table: &mut Table) -> Result<()> {
        let counter = Counter(self);
        let sound = counter.total("sound", COUNTED_S)?;
        let a_frame = |subject| -> Result<f64> {
            let all = counter.total(subject, COUNTED_S)?;
            Ok(all.saturating_sub(sound) as f64 / f64::from(COUNTED_S) / 48_000.0)
        };
        let (all, loudness, peer) = (a_frame("analyzer")?, a_frame("loudness")?, a_frame("ebur128")?);
        let (alone, unit) = ("ebur128 crate, fed alone", "instructions a frame");
        table.add(Row::new("all that the Analyzer measures", all, alone, peer, unit, Some(0.5)));
        table.add(Row::new("the same five figures", loudness, alone, peer, unit, Some(0.25)));

        let pushes = counter.pushes(seconds)?;
        let unit = "instructions";
        let figure = format!("longest push of 64 frames, in {seconds} s");
        table.add(Row::new(&figure, pushes.longest, "median push", pushes.median, unit, Some(10.0)));
        // The Analyzer hands what it finds to the tape while it is at it: that is the plugin's work, not the core's.
        let [play, push] = [PLAY, PUSH].map(|function| counter.plugins(function, COUNTED_S));
        let (play, push) = (play?, push?);
        let [readings, cells] = TAPE.map(|function| counter.plugins(function, COUNTED_S));
        let core = (push.sum - readings?.sum - cells?.sum) / push.count;
        let figure = "all that the plugin does in 64 frames, mean";
        table.add(Row::new(figure, play.mean(), "the Analyzer alone", core, unit, Some(1.05)));
        let frames = counter.frames()?;
        let figure = "the editor’s frame, near view, longest";
        table.add(Row::new(figure, frames.longest, "its median", frames.median, unit, None));
        let process = counter.plugins(PROCESS, COUNTED_S)?;
        let figure = "process as the host calls it, mean";
        table.add(Row::new(figure, process.mean(), "without the framework", play.mean(), unit, None));
        let figure = "process as the host calls it, longest";
        table.add(Row::new(figure, process.longest, "its median", process.median, unit, Some(10.0)));
        Ok(())
    }
}

fn number(value: &Value) -> Result<f64> {
    value.as_f64().with_context(|| format!("{value} is no number"))
}

fn number_in(text: &str) -> Result<f64> {
    text.parse().with_context(|| format!("{text:?} is no number"))
}

/// Where a file of the benchmark lies, a profile or sound.
fn file(name: impl AsRef<Path>) -> Result<PathBuf> {
    Ok(folders::made(folders::target().join("bench"))?.join(name))
}
