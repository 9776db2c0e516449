//! Through ALSA's own library, with devices that are pipes: what is heard is read out of one, what comes in is written
//! into another.

use std::ffi::OsStr;
use std::fs::{self, File};
use std::io::{Read, Write};
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::mpsc::{Receiver, channel};
use std::thread;
use std::time::Duration;

use tempfile::TempDir;

use crate::desk::{Desk, RATE, command, noise, refused};
use crate::runs::{frames, longest_run};

/// Bytes of a frame: two samples in single precision.
const FRAME_BYTES: usize = 8;
/// Frames that pass a pipe at once, a hundredth of a second.
const PIECE: usize = 480;
const PIECE_TIME: Duration = Duration::from_millis(10);

/// Two devices: `default` is heard, `source` is listened to.
struct Devices {
    folder: TempDir,
}

impl Devices {
    fn new() -> Self {
        let devices = Self { folder: TempDir::new().expect("a temporary folder can be made") };
        for pipe in [devices.heard(), devices.coming()] {
            let made = Command::new("mkfifo").arg(&pipe).status().expect("mkfifo can be started");
            assert!(made.success(), "the pipe {} can't be made", pipe.display());
        }
        let configuration = format!(
            "defaults.namehint.showall on\n\
             pcm.nothing {{ type null }}\n\
             pcm.!default {{ type file slave.pcm nothing format raw file \"{}\" }}\n\
             pcm.source {{ type file slave.pcm nothing format raw file \"/dev/null\" infile \"{}\" }}\n",
            devices.heard().display(),
            devices.coming().display(),
        );
        fs::write(devices.configuration(), configuration).expect("the configuration can be written");
        devices
    }

    fn heard(&self) -> PathBuf {
        self.folder.path().join("heard")
    }

    fn coming(&self) -> PathBuf {
        self.folder.path().join("coming")
    }

    fn configuration(&self) -> PathBuf {
        self.folder.path().join("asound.conf")
    }

    fn desk(&self, arguments: &[&str]) -> Desk {
        let configuration = self.configuration();
        Desk::start_with(arguments, &[("ALSA_CONFIG_PATH", OsStr::new(&configuration))])
    }
}

/// Opens a pipe for both ways, so that it never waits for the other end and never ends with it.
fn open(pipe: &Path) -> File {
    File::options().read(true).write(true).open(pipe).expect("the pipe can be opened")
}

/// Reads what is heard, in real time, as a loudspeaker would, as long as the test runs.
fn listen(pipe: &Path) -> Receiver<[f32; 2]> {
    let mut pipe = open(pipe);
    let (frames, heard) = channel();
    thread::spawn(move || {
        let mut piece = [0; PIECE * FRAME_BYTES];
        while pipe.read_exact(&mut piece).is_ok() {
            for frame in piece.chunks_exact(FRAME_BYTES) {
                let sample = |from: usize| f32::from_le_bytes([0, 1, 2, 3].map(|byte| frame[from + byte]));
                // The test may have heard enough.
                let _ = frames.send([sample(0), sample(4)]);
            }
            thread::sleep(PIECE_TIME);
        }
    });
    heard
}

/// Writes what comes in, in real time, as a microphone would, as long as the test runs.
fn speak(pipe: &Path, frames: Vec<[f32; 2]>) {
    let mut pipe = open(pipe);
    thread::spawn(move || {
        for piece in frames.chunks(PIECE) {
            let bytes: Vec<u8> = piece.iter().flatten().flat_map(|sample| sample.to_le_bytes()).collect();
            pipe.write_all(&bytes).expect("the pipe can be written");
            thread::sleep(PIECE_TIME);
        }
    });
}

#[test]
fn a_file_is_heard_whole_and_sample_for_sample() {
    let devices = Devices::new();
    let song = noise(4.0, 8);
    let path = devices.folder.path().join("song.wav");
    song.write_wav(&path);
    let heard = listen(&devices.heard());
    let mut desk = devices.desk(&["--backend", "alsa", path.to_str().expect("the path is text")]);
    let first = desk.first_picture();
    desk.wait_for_a_song(&first);
    let wanted = song.left.len();
    let heard: Vec<[f32; 2]> = heard.iter().skip_while(|frame| *frame != [0.25; 2]).take(wanted).collect();
    assert!(heard == frames(&song.left, &song.right), "what is heard is not the file");
    let told = desk.terminate().well();
    assert!(told.contains("sound goes to alsa's default, at 48000 Hz"), "{told}");
}

#[test]
fn what_comes_in_is_measured_and_goes_out_sample_for_sample() {
    let devices = Devices::new();
    let song = noise(12.0, 9);
    let played = frames(&song.left, &song.right);
    let heard = listen(&devices.heard());
    speak(&devices.coming(), played.clone());
    let mut desk = devices.desk(&["--backend", "alsa", "--input", "source", "--rate", "48000"]);
    let first = desk.first_picture();
    desk.wait_for_a_song(&first);
    let heard: Vec<[f32; 2]> = heard.iter().take((6.0 * RATE) as usize).collect();
    let told = desk.terminate().well();
    assert!(told.contains("sound comes from alsa's source"), "{told}");
    assert!(told.contains("feeds back"), "{told}");
    // Two clocks that differ, and a busy machine, make gaps; between two such, every sample is the input's.
    let run = longest_run(&heard, &played);
    assert!(run as f64 > 0.25 * RATE, "at most {run} frames came through as they were");
}

#[test]
fn a_device_that_is_not_there_is_answered_with_those_that_are() {
    let devices = Devices::new();
    let home = TempDir::new().expect("a temporary folder can be made");
    let mut command = command(["--backend", "alsa", "--input", "harbour"], home.path());
    command.env("ALSA_CONFIG_PATH", devices.configuration());
    refused(&mut command, &["no input called \"harbour\"", "source"]);
}
