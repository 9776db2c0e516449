//! ffmpeg, as the Debian package brings it.

use std::ffi::OsStr;
use std::io::Write as _;
use std::path::Path;
use std::process::{Command, Output, Stdio};

use candlemark_tests::sound::Sound;

fn quiet() -> Command {
    let mut command = Command::new("ffmpeg");
    command.args(["-nostdin", "-hide_banner", "-loglevel", "error", "-y"]);
    command
}

#[track_caller]
fn finished(output: Output) -> Vec<u8> {
    assert!(output.status.success(), "ffmpeg: {}", String::from_utf8_lossy(&output.stderr));
    output.stdout
}

const STARTS: &str = "ffmpeg can be started; `cargo xtask test` installs it";

/// Runs it; gives what it prints.
#[track_caller]
pub(crate) fn run<A: AsRef<OsStr>>(arguments: impl IntoIterator<Item = A>) -> Vec<u8> {
    finished(quiet().args(arguments).output().expect(STARTS))
}

/// Writes a sound, given in double precision and interleaved, into a file of the kind that `path` and
/// `options` ask for.
#[track_caller]
pub(crate) fn encode(rate: u32, stereo: &[[f64; 2]], options: &[&str], path: &Path) {
    let rate = rate.to_string();
    // Standard input is the sound here.
    let mut command = Command::new("ffmpeg");
    command.args(["-hide_banner", "-loglevel", "error", "-y", "-f", "f64le", "-ar", &rate, "-ac", "2"]);
    command.args(["-i", "pipe:0"]).args(options).arg(path);
    command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut child = command.spawn().expect(STARTS);
    let bytes: Vec<u8> = stereo.iter().flatten().flat_map(|sample| sample.to_le_bytes()).collect();
    let written = child.stdin.take().expect("it was piped").write_all(&bytes);
    finished(child.wait_with_output().expect("ffmpeg ends"));
    written.expect("ffmpeg takes the sound");
}

/// Decodes a stereo file to single precision.
#[track_caller]
pub(crate) fn decode(path: &Path, rate: f64) -> Sound {
    let input = [OsStr::new("-i"), path.as_os_str()];
    let output = ["-map", "0:a", "-f", "f32le", "-c:a", "pcm_f32le", "-"].map(OsStr::new);
    let bytes = run(input.into_iter().chain(output));
    let samples: Vec<f32> = bytes.as_chunks::<4>().0.iter().map(|bytes| f32::from_le_bytes(*bytes)).collect();
    let channel = |offset: usize| samples.iter().skip(offset).step_by(2).copied().collect();
    Sound::stereo(rate, channel(0), channel(1))
}
