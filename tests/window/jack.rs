//! Through a real JACK server, whose driver is a clock without a sound card: one window plays a file into another, which
//! measures it and lets it out again, and a recorder takes what comes out.

use std::ffi::OsStr;
use std::process::{Child, Command, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

use candlemark_files::measure;
use candlemark_tests::sound::Sound;
use hound::WavReader;
use tempfile::TempDir;

use crate::desk::{Desk, RATE, command, noise, refused};
use crate::runs::{frames, longest_run};

/// The variable that tells clients which server is meant.
const SERVER: &str = "JACK_DEFAULT_SERVER";

/// A server of the test's own.
struct Server {
    process: Child,
    name: String,
}

impl Server {
    fn start(test: &str) -> Self {
        let name = format!("candlemark-{test}-{}", std::process::id());
        let process = Command::new("jackd")
            .args(["--no-realtime", "--name", &name, "-d", "dummy", "--rate", "48000", "--period", "2048"])
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .expect("this test needs jackd (in Debian the package jackd2)");
        let server = Self { process, name };
        server.wait_for_port("system:playback_1");
        server
    }

    fn ports(&self) -> String {
        let output =
            Command::new("jack_lsp").env(SERVER, &self.name).env("JACK_NO_START_SERVER", "1").output();
        let output = output.expect("jack_lsp (in Debian of the package jackd2) can be started");
        String::from_utf8_lossy(&output.stdout).into_owned()
    }

    fn wait_for_port(&self, port: &str) {
        let begun = Instant::now();
        while !self.ports().lines().any(|line| line == port) {
            assert!(begun.elapsed() < Duration::from_secs(20), "{port} did not come: {}", self.ports());
            sleep(Duration::from_millis(50));
        }
    }

    fn desk(&self, arguments: &[&str]) -> Desk {
        Desk::start_with(arguments, &[(SERVER, OsStr::new(&self.name))])
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        // Asked to end, it clears away what it keeps in shared memory.
        let _ = Command::new("sh").args(["-c", &format!("kill -TERM {}", self.process.id())]).status();
        let _ = self.process.wait();
    }
}

#[test]
fn a_file_goes_through_two_windows_sample_for_sample() {
    let folder = TempDir::new().expect("a temporary folder can be made");
    let song: Sound = noise(6.0, 6);
    let [path, recording] = ["song.wav", "recording.wav"].map(|name| folder.path().join(name));
    song.write_wav(&path);
    let server = Server::start("through");
    let mut meter = server.desk(&["--backend", "jack"]);
    server.wait_for_port("Candlemark:out_right");
    let silent = meter.first_picture();

    let recorder = Command::new("jack_rec")
        .args(["-f", recording.to_str().expect("the path is text"), "-d", "10", "-b", "32"])
        .args(["Candlemark:out_left", "Candlemark:out_right"])
        .env(SERVER, &server.name)
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn();
    let mut recorder = recorder.expect("jack_rec (in Debian of the package jackd2) can be started");
    server.wait_for_port("jackrec:input2");
    let player = server.desk(&[path.to_str().expect("the path is text"), "--output", "Candlemark"]);
    meter.wait_for_a_song(&silent);
    let shown =
        meter.wait_until_it_shows("three seconds of a song", |shown| shown.view.song.duration_s >= 3.0);
    let loudness = measure(&path, |_| ()).expect("the file can be measured").figures.integrated.unwrap().0;
    // Noise of one level: with a cycle missing it is as loud.
    assert!((shown.view.song.integrated.unwrap().0 - loudness).abs() < 0.2, "{loudness}: {shown:?}");
    assert!(recorder.wait().expect("the recorder ends").success());
    for desk in [player, meter] {
        let told = desk.terminate().well();
        assert!(told.contains("through JACK, at 48000 Hz"), "{told}");
    }

    let mut recorded = WavReader::open(&recording).expect("the recording can be read");
    let samples: Vec<f32> = recorded
        .samples::<i32>()
        .map(|sample| (f64::from(sample.expect("a sample can be read")) / 2f64.powi(31)) as f32)
        .collect();
    let heard: Vec<[f32; 2]> = samples.chunks_exact(2).map(|pair| [pair[0], pair[1]]).collect();
    // A busy machine may miss a cycle of the server's here and there; between two such, every sample is the file's.
    let run = longest_run(&heard, &frames(&song.left, &song.right));
    assert!(run as f64 > 0.25 * RATE, "at most {run} frames came through as they were");
}

#[test]
fn a_muted_window_measures_and_has_no_output() {
    let folder = TempDir::new().expect("a temporary folder can be made");
    let path = folder.path().join("song.wav");
    noise(8.0, 10).write_wav(&path);
    let server = Server::start("muted");
    let mut meter = server.desk(&["--backend", "jack", "--mute"]);
    server.wait_for_port("Candlemark:in_right");
    let silent = meter.first_picture();
    assert!(!server.ports().contains("Candlemark:out"), "{}", server.ports());
    let player = server.desk(&[path.to_str().expect("the path is text"), "--output", "Candlemark"]);
    meter.wait_for_a_song(&silent);
    for desk in [player, meter] {
        desk.terminate().well();
    }
}

#[test]
fn ports_and_rates_that_are_not_there_are_answered() {
    let server = Server::start("answers");
    let refused = |arguments: &[&str], parts: &[&str]| {
        let home = TempDir::new().expect("a temporary folder can be made");
        refused(command(arguments, home.path()).env(SERVER, &server.name), parts);
    };
    refused(&["--backend", "jack", "--input", "harbour"], &["harbour", "system:capture_1"]);
    refused(&["--backend", "jack", "--rate", "44100"], &["JACK runs at 48000 Hz, not at 44100"]);

    // A file of another rate is measured all the same.
    let folder = TempDir::new().expect("a temporary folder can be made");
    let path = folder.path().join("song.wav");
    Sound { rate: 44_100.0, ..noise(4.0, 7) }.write_wav(&path);
    let mut desk = server.desk(&[path.to_str().expect("the path is text")]);
    let first = desk.first_picture();
    desk.wait_for_a_song(&first);
    let told = desk.close().well();
    assert!(told.contains("JACK does not run at the file's 44100 Hz"), "{told}");
    assert!(told.contains("without being heard"), "{told}");
}
