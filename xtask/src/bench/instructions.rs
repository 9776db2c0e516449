//! Instructions, counted with Valgrind's Callgrind.

use std::fs::{self, File};
use std::io::{BufRead as _, BufReader};
use std::path::{Path, PathBuf};
use std::process::Command;
use std::thread;

use anyhow::{Context, Result, bail};

use super::{Bench, file};
use crate::process;

/// One push of the benchmark, as Valgrind tells its name.
const ONE_PUSH: &str = "measures::pushes::candlemark_one_push";
/// One frame of the editor, likewise.
const ONE_FRAME: &str = "measures::frames::candlemark_one_frame";
/// In the built plugin: what hosts call, what of it is ours, and the measuring in that.
pub(super) const PROCESS: &str = "nice_plug::wrapper::clap::wrapper::Wrapper<P>::process";
pub(super) const PLAY: &str = "candlemark::meter::Meter::play";
pub(super) const TAPE: [&str; 2] = [
    "<candlemark_handoff::tape::TapeWriter as candlemark_analysis::Sink>::reading",
    "<candlemark_handoff::tape::TapeWriter as candlemark_analysis::Sink>::cell",
];
pub(super) const PUSH: &str = "candlemark_analysis::analyzer::Analyzer::push";

/// Counts the instructions of a benchmark's program.
pub(super) struct Counter<'a>(pub(super) &'a Bench);

/// What each call of a function cost.
pub(super) struct Calls {
    pub(super) median: f64,
    pub(super) longest: f64,
    pub(super) sum: f64,
    pub(super) count: f64,
}

impl Calls {
    pub(super) fn mean(&self) -> f64 {
        self.sum / self.count
    }
}

impl Counter<'_> {
    /// All instructions of feeding `subject`.
    pub(super) fn total(&self, subject: &str, seconds: u32) -> Result<u64> {
        let profile = file(format!("{subject}.callgrind"))?;
        self.run(subject, seconds, &profile, &[])?;
        let text =
            fs::read_to_string(&profile).with_context(|| format!("can't read {}", profile.display()))?;
        text.lines().rev().find_map(total).with_context(|| format!("{} holds no total", profile.display()))
    }

    /// Those of each push of an Analyzer in blocks of 64 frames.
    pub(super) fn pushes(&self, seconds: u32) -> Result<Calls> {
        self.calls("pushes", ONE_PUSH, seconds)
    }

    /// Those of each frame of the editor.
    pub(super) fn frames(&self) -> Result<Calls> {
        self.calls("frames", ONE_FRAME, 1)
    }

    /// Those of each call of a function of the built plugin, played in blocks of 64 frames.
    pub(super) fn plugins(&self, function: &str, seconds: u32) -> Result<Calls> {
        self.calls("plugin", function, seconds)
    }

    /// Callgrind writes a profile after each call. Ten minutes of them are gigabytes, so they go through a pipe, from which
    /// the totals alone are kept.
    fn calls(&self, subject: &str, function: &str, seconds: u32) -> Result<Calls> {
        let pipe = Pipe::new(file(format!("{subject}.pipe"))?)?;
        // Held open, for Callgrind closes it after each profile.
        let open = File::options().read(true).write(true).open(&pipe.0);
        let held = open.with_context(|| format!("can't open {}", pipe.0.display()))?;
        let reader = BufReader::new(File::open(&pipe.0)?);
        let costs = thread::scope(|scope| {
            let reading = scope.spawn(|| {
                let lines = reader.lines().map_while(Result::ok).take_while(|line| line != END);
                lines.filter_map(|line| total(&line)).filter(|count| *count > 0).collect::<Vec<u64>>()
            });
            let toggle = [
                "--combine-dumps=yes".to_owned(),
                format!("--toggle-collect={function}"),
                format!("--dump-after={function}"),
            ];
            let counted = self.run(subject, seconds, &pipe.0, &toggle);
            let ended = std::io::Write::write_all(&mut &held, format!("{END}\n").as_bytes());
            let costs = reading.join().expect("reading lines does not panic");
            counted.and(ended.map_err(Into::into)).map(|()| costs)
        })?;
        summed_up(costs)
            .with_context(|| format!("Callgrind saw no call of {function}: it has another name now"))
    }

    fn run(&self, subject: &str, seconds: u32, profile: &Path, options: &[String]) -> Result<()> {
        let mut valgrind = Command::new("valgrind");
        valgrind
            .args(["--quiet", "--tool=callgrind"])
            .arg(format!("--callgrind-out-file={}", profile.display()))
            .args(options)
            .arg(&self.0.measures)
            .args(["feed", subject, "--seconds", &seconds.to_string()])
            .env("CANDLEMARK_CLAP", &self.0.clap);
        process::run(&mut valgrind)
    }
}

/// What ends the profiles.
const END: &str = "no more profiles";

/// A named pipe that goes away with this.
struct Pipe(PathBuf);

impl Pipe {
    fn new(path: PathBuf) -> Result<Self> {
        if path.exists() {
            fs::remove_file(&path).with_context(|| format!("can't remove {}", path.display()))?;
        }
        process::run(Command::new("mkfifo").arg(&path))?;
        Ok(Self(path))
    }
}

impl Drop for Pipe {
    fn drop(&mut self) {
        // A pipe that stays does no harm: the next one takes its place.
        _ = fs::remove_file(&self.0);
    }
}

/// The count in a line that ends a profile or a part of one.
fn total(line: &str) -> Option<u64> {
    let counts = line.strip_prefix("totals: ")?;
    counts.split(' ').next()?.parse().ok()
}

fn summed_up(mut costs: Vec<u64>) -> Result<Calls> {
    costs.sort_unstable();
    let (Some(longest), count) = (costs.last(), costs.len()) else { bail!("no call") };
    Ok(Calls {
        median: costs[count / 2] as f64,
        longest: *longest as f64,
        sum: costs.iter().sum::<u64>() as f64,
        count: count as f64,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_total_is_read_from_a_profiles_line() {
        assert_eq!(total("totals: 123456"), Some(123_456));
        assert_eq!(total("totals: 5 7"), Some(5));
        assert_eq!(total("summary: 123456"), None, "it says the same once more");
        assert_eq!(total("12 34"), None);
    }

    #[test]
    fn calls_are_summed_up() {
        let calls = summed_up(vec![7, 500, 8, 9, 6]).unwrap();
        assert_eq!((calls.median, calls.mean(), calls.longest), (8.0, 106.0, 500.0));
        assert!(summed_up(Vec::new()).is_err());
    }
}
