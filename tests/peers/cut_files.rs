//! Files that were cut off on the way: what there is gives figures, and the cut is told.

use std::fs;

use candlemark_tests::command::{Home, Run, figure};
use serde_json::Value;

use crate::decoding::{Made, SECONDS};

const FILES: [(&str, &[&str]); 8] = [
    ("wav", &["-c:a", "pcm_s16le"]),
    ("wav", &["-c:a", "pcm_f32le"]),
    ("aiff", &["-c:a", "pcm_s24be"]),
    ("flac", &["-c:a", "flac", "-sample_fmt", "s16"]),
    ("mp3", &["-c:a", "libmp3lame", "-b:a", "192k"]),
    ("ogg", &["-c:a", "libvorbis", "-q:a", "6"]),
    ("m4a", &["-c:a", "aac", "-b:a", "192k", "-movflags", "+faststart"]),
    ("aac", &["-c:a", "aac", "-b:a", "192k", "-f", "adts"]),
];

/// A page of Ogg that is not whole is lost; ffmpeg makes them a second long.
const LONGEST_PAGE_S: f64 = 1.0;

/// Shares of the file that are left.
const CUTS: [f64; 3] = [0.5, 0.77, 0.98];

/// A file cut off, and what the command made of it.
struct Cut {
    what: String,
    run: Run,
    file: Value,
}

impl Cut {
    /// Keeps as many bytes of the file as `kept` says.
    fn new(made: &Made, kept: impl FnOnce(&[u8]) -> usize) -> Self {
        let whole = fs::read(&made.path).expect("ffmpeg has written it");
        let left = kept(&whole);
        let ending = made.path.extension().expect("it has an ending");
        let path = made.path.with_file_name("cut").with_extension(ending);
        fs::write(&path, &whole[..left]).expect("a cut copy can be written");
        let run = Home::new().measured([&path]);
        let file = run.files().remove(0);
        let what = format!("{}, {left} of {} bytes", ending.display(), whole.len());
        println!("{what}: {} s, {}", file["duration_s"], file["error"]);
        Self { what, run, file }
    }

    #[track_caller]
    fn hold_told(&self) {
        let error = &self.file["error"];
        assert!(matches!(error["kind"].as_str(), Some("truncated" | "damaged")), "{}: {error}", self.what);
        assert_eq!(self.run.status, Some(2), "{}", self.what);
        let message = error["message"].as_str().expect("an error has a message");
        assert!(self.run.told.contains(message) && message.contains("cut."), "{}: {error}", self.what);
    }
}

#[test]
fn a_cut_is_told_and_what_there_is_gives_figures() {
    for (ending, options) in FILES {
        let made = Made::new(44_100, ending, options);
        for share in CUTS {
            let cut = Cut::new(&made, |whole| (share * whole.len() as f64) as usize);
            cut.hold_told();
            // A share of the bytes is about that share of the sound, less what was cut in two.
            let (seconds, expected) = (figure(&cut.file, "duration_s"), share * SECONDS);
            let range = expected - LONGEST_PAGE_S - 0.1 * SECONDS..expected + 0.1 * SECONDS;
            assert!(range.contains(&seconds), "{}: {seconds} s", cut.what);
            assert!(figure(&cut.file, "integrated_lufs") > -40.0, "{}", cut.what);
        }
    }
}

/// The index of such a file comes last: without it nothing in it has a place.
#[test]
fn an_m4a_file_whose_index_is_cut_off_is_told() {
    let made = Made::new(44_100, "m4a", &["-c:a", "aac", "-b:a", "192k"]);
    for share in CUTS {
        let cut = Cut::new(&made, |whole| (share * whole.len() as f64) as usize);
        cut.hold_told();
        assert_eq!(cut.file["error"]["kind"], "truncated", "{}", cut.what);
        assert!(cut.file["duration_s"].is_null() && cut.file["integrated_lufs"].is_null(), "{}", cut.file);
    }
}

/// A stream that declares no length may end after any of its packets: that cut can't be told.
#[test]
fn a_cut_between_packets_of_adts_is_an_end() {
    let made = Made::new(44_100, "aac", &["-c:a", "aac", "-b:a", "192k", "-f", "adts"]);
    let packets = 100;
    let cut = Cut::new(&made, |whole| {
        (0..packets).fold(0, |at, _| {
            // A frame's length is 13 bits of its header (ISO/IEC 13818-7, 6.2), its own seven bytes included.
            let length = usize::from(whole[at + 3] & 3) << 11
                | usize::from(whole[at + 4]) << 3
                | usize::from(whole[at + 5]) >> 5;
            at + length
        })
    });
    assert!(cut.file["error"].is_null(), "{}", cut.file["error"]);
    assert_eq!((cut.run.status, cut.run.told.as_str()), (Some(0), ""));
    let expected = f64::from(packets) * 1024.0 / 44_100.0;
    assert!((figure(&cut.file, "duration_s") - expected).abs() < 1e-9);
}
