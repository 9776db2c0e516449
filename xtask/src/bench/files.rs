//! What reading files costs, beside ffmpeg's loudness filter.

use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use std::thread;
use std::time::Instant;

use anyhow::{Context, Result};

use super::table::{Row, Table};
use super::{Bench, file};
use crate::process;

/// Length of the file.
const SECONDS: u32 = 1200;
/// Files at once.
const MANY: usize = 4;
const RUNS: usize = 3;

pub(super) fn rows(bench: &Bench, table: &mut Table) -> Result<()> {
    let wave = file("loud.wav")?;
    let mut write = Command::new(&bench.measures);
    process::run(write.arg("wave").arg(&wave).args(["--seconds", &SECONDS.to_string()]))?;

    let (mut ours, mut theirs, mut alone, mut many) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    for _ in 0..RUNS {
        let one = cost(measure(bench, &[&wave]))?;
        ours.push(one.work_s);
        alone.push(one.passed_s);
        theirs.push(cost(ffmpeg(&wave))?.work_s);
        many.push(cost(measure(bench, &[&*wave; MANY]))?.passed_s);
    }
    let [ours, theirs, alone, many] = [ours, theirs, alone, many].map(middle);
    let figure = format!("candlemark measure, {} min of 24 bits", SECONDS / 60);
    table.add(Row::new(&figure, ours, "ffmpeg ebur128=peak=true", theirs, "s of work", Some(0.5)));
    let cores = thread::available_parallelism().map_or(1, usize::from);
    let figure = format!("candlemark measure, {MANY} such files, {cores} cores");
    let one_by_one = alone * MANY as f64;
    table.add(Row::new(&figure, many, "one after the other", one_by_one, "s passed", Some(0.7)));
    fs::remove_file(&wave).with_context(|| format!("can't remove {}", wave.display()))
}

fn measure(bench: &Bench, files: &[&Path]) -> Command {
    let mut command = Command::new(&bench.command);
    command.arg("measure").args(files);
    command
}

fn ffmpeg(wave: &Path) -> Command {
    let mut command = Command::new("ffmpeg");
    command.args(["-nostdin", "-nostats", "-loglevel", "error", "-i"]).arg(wave);
    command.args(["-filter_complex", "ebur128=peak=true", "-f", "null", "-"]);
    command
}

/// What a program took.
struct Cost {
    /// Processor time of all its threads.
    work_s: f64,
    /// Time that passed.
    passed_s: f64,
}

fn cost(mut command: Command) -> Result<Cost> {
    let (start, before_s) = (Instant::now(), childrens_work_s()?);
    process::run(command.stdout(Stdio::null()))?;
    Ok(Cost { work_s: childrens_work_s()? - before_s, passed_s: start.elapsed().as_secs_f64() })
}

/// Processor time of the programs that this one has run to their end: the 16th and the 17th figure of `proc_pid_stat(5)`, in
/// hundredths of a second (`USER_HZ`, the same on every Linux of today).
fn childrens_work_s() -> Result<f64> {
    let stat = fs::read_to_string("/proc/self/stat").context("only Linux tells work this way")?;
    work_s(&stat).context("/proc/self/stat is not as it should be")
}

fn work_s(stat: &str) -> Option<f64> {
    // The second figure is a name in brackets that may hold anything.
    let (_, figures) = stat.rsplit_once(") ")?;
    let ticks = figures.split(' ').skip(16 - 3).take(2).map(str::parse::<u64>);
    Some(ticks.sum::<Result<u64, _>>().ok()? as f64 / 100.0)
}

fn middle(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_work_of_children_is_read() {
        let stat = "12 (a b) c) S 1 12 12 0 -1 4194304 100 200 0 0 5 6 150 25 20 0 1 0 100";
        assert_eq!(work_s(stat), Some(1.75));
        assert_eq!(work_s("nothing"), None);
    }
}
