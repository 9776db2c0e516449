//! `cargo xtask bench`: what measuring costs, always beside a peer in the same run.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context, Result, bail};
use clap::Args;

use crate::apt::{self, Need};
use crate::{folders, process};

mod calls;

/// Measures the Analyzer's cost against the ebur128 crate's, in one run.
///
/// Both are fed the same loud stereo sound at 48 kHz in blocks of 512 frames, in turns; the table shows the
/// median of the runs in nanoseconds a frame, and the ratio. Only the ratio means something on another
/// machine. With --callgrind, instructions a frame are counted instead, which noise on the machine can't
/// change.
#[derive(Args)]
pub(crate) struct Options {
    /// Count instructions with Valgrind instead of measuring time
    #[arg(long)]
    callgrind: bool,
    /// Count the instructions of each call of the built plugin's process, in blocks of 64 frames
    #[arg(long, conflicts_with = "callgrind")]
    process: bool,
    /// Length of the sound in seconds [default: 180, with --callgrind 10, with --process 20]
    #[arg(long, value_name = "SECONDS", value_parser = clap::value_parser!(u32).range(1..=3600))]
    seconds: Option<u32>,
    /// How often each is run; the median counts
    #[arg(long, value_name = "RUNS", default_value_t = 7, value_parser = clap::value_parser!(u32).range(1..=1000))]
    runs: u32,
}

const SAMPLE_RATE_HZ: u32 = 48_000;

pub(crate) fn run(options: &Options) -> Result<()> {
    if options.callgrind || options.process {
        apt::ensure(&[Need {
            package: "valgrind",
            why: "counts the instructions of the benchmark",
            present: || process::exists("valgrind"),
        }])?;
    }
    let program = build()?;
    if options.process {
        calls::count(&program, options.seconds.unwrap_or(20))
    } else if options.callgrind {
        count(&program, options.seconds.unwrap_or(10))
    } else {
        let seconds = options.seconds.unwrap_or(180).to_string();
        let runs = options.runs.to_string();
        process::run(Command::new(program).args(["compare", "--seconds", &seconds, "--runs", &runs]))
    }
}

fn build() -> Result<PathBuf> {
    let mut build = process::cargo(["build", "--release", "--locked", "--package", "candlemark-tests"]);
    build.args(["--bench", "measures", "--message-format", "json-render-diagnostics"]);
    build.stderr(std::process::Stdio::inherit());
    eprintln!("$ {}", process::line(&build));
    executable(&process::output(&mut build)?)
}

/// The executable that cargo's messages tell of.
fn executable(messages: &str) -> Result<PathBuf> {
    messages
        .lines()
        .filter_map(|line| serde_json::from_str::<serde_json::Value>(line).ok())
        .filter_map(|message| message.get("executable")?.as_str().map(PathBuf::from))
        .next_back()
        .context("cargo built the benchmark, yet named no executable")
}

/// Counts the instructions of each, less those of making the sound.
fn count(program: &Path, seconds: u32) -> Result<()> {
    let sound = instructions(program, "sound", seconds)?;
    let frames = f64::from(seconds) * f64::from(SAMPLE_RATE_HZ);
    let a_frame = |subject| -> Result<f64> {
        let all = instructions(program, subject, seconds)?;
        Ok((all.saturating_sub(sound)) as f64 / frames)
    };
    let (analyzer, peer) = (a_frame("analyzer")?, a_frame("ebur128")?);
    println!("{:<22} {:>10} {:>14} {:>8}", "instructions a frame", "Analyzer", "ebur128", "ratio");
    println!("{:<22} {analyzer:>10.1} {peer:>14.1} {:>8.3}", format!("{seconds} s, 48 kHz"), analyzer / peer);
    Ok(())
}

fn instructions(program: &Path, subject: &str, seconds: u32) -> Result<u64> {
    let folder = folders::target().join("callgrind");
    fs::create_dir_all(&folder).with_context(|| format!("can't make {}", folder.display()))?;
    let profile = folder.join(format!("{subject}.out"));
    let mut valgrind = Command::new("valgrind");
    valgrind.args(["--quiet", "--tool=callgrind"]).arg(format!("--callgrind-out-file={}", profile.display()));
    valgrind.arg(program).args(["feed", subject, "--seconds", &seconds.to_string()]);
    process::run(&mut valgrind)?;
    let text = fs::read_to_string(&profile).with_context(|| format!("can't read {}", profile.display()))?;
    match total(&text) {
        Some(total) => Ok(total),
        None => bail!("{} holds no total", profile.display()),
    }
}

/// The instruction count that a profile of Callgrind ends with.
fn total(profile: &str) -> Option<u64> {
    profile
        .lines()
        .rev()
        .find_map(|line| line.strip_prefix("totals: ").or_else(|| line.strip_prefix("summary: ")))
        .and_then(|count| count.split(' ').next()?.parse().ok())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_executable_is_read_from_cargos_messages() {
        let messages = "{\"reason\":\"compiler-artifact\",\"executable\":null}\n\
                        {\"reason\":\"compiler-artifact\",\"executable\":\"deps/measures-1\"}\n\
                        {\"reason\":\"build-finished\",\"success\":true}\n";
        assert_eq!(executable(messages).unwrap(), PathBuf::from("deps/measures-1"));
        assert!(executable("{\"reason\":\"build-finished\",\"success\":true}").is_err());
    }

    #[test]
    fn the_total_is_read_from_a_profile() {
        assert_eq!(total("events: Ir\nfn=(1) main\n12 34\n\ntotals: 123456\n"), Some(123_456));
        assert_eq!(total("events: Ir\n"), None);
    }
}
