//! Files that can't be used: each is told with its name, and the others are still measured.

use std::fs;
use std::path::{Path, PathBuf};

use candlemark_tests::command::{Home, Run};
use candlemark_tests::sound::Sound;
use hound::{SampleFormat, WavSpec, WavWriter};
use serde_json::Value;

use crate::files::{RATE, bytes, noise, wav};

/// A bad file, the kind of its error, and whether it has figures all the same.
struct Bad {
    path: PathBuf,
    kind: &'static str,
    has_figures: bool,
}

fn surround(folder: &Path) -> PathBuf {
    let path = folder.join("surround.wav");
    let spec =
        WavSpec { channels: 6, sample_rate: 48_000, bits_per_sample: 16, sample_format: SampleFormat::Int };
    let mut writer = WavWriter::create(&path, spec).unwrap();
    (0..6 * 48_000).for_each(|n| writer.write_sample((n % 1000) as i16).unwrap());
    writer.finalize().unwrap();
    path
}

fn bad_files(folder: &Path) -> Vec<Bad> {
    let sound = noise(4.0);
    let whole = fs::read(wav(folder, "whole.wav", &sound)).unwrap();
    let silence = vec![0f32; (4.0 * RATE) as usize];
    let mut spoilt = sound.clone();
    spoilt.left[60_000] = f32::NAN;
    spoilt.right[60_100] = f32::INFINITY;
    spoilt.right[60_200] = 1e9;
    let slow = Sound { rate: 7_000.0, ..sound.clone() };
    fs::create_dir(folder.join("folder.wav")).unwrap();
    let unreadable = [
        (folder.join("missing.wav"), "missing"),
        (bytes(folder, "text.wav", b"It was a dark and stormy night, and nobody sang."), "not-audio"),
        (bytes(folder, "zero-length.wav", b""), "empty"),
        (wav(folder, "no-frames.wav", &Sound { rate: RATE, ..Sound::default() }), "empty"),
        (bytes(folder, "half-a-header.wav", &whole[..30]), "truncated"),
        (bytes(folder, "video.mkv", b"\x1a\x45\xdf\xa3 and so on"), "unsupported"),
        (surround(folder), "too-many-channels"),
        (folder.join("folder.wav"), "folder"),
        (wav(folder, "7-kilohertz.wav", &slow), "unsupported-rate"),
    ];
    let with_figures = [
        (bytes(folder, "truncated.wav", &whole[..whole.len() * 3 / 4]), "truncated"),
        (wav(folder, "silent.wav", &Sound::in_both(RATE, silence)), "silent"),
        (wav(folder, "spoilt.wav", &spoilt), "non-finite"),
    ];
    let bad = |has_figures| move |(path, kind)| Bad { path, kind, has_figures };
    unreadable.into_iter().map(bad(false)).chain(with_figures.into_iter().map(bad(true))).collect()
}

fn told_of(run: &Run, path: &Path) -> String {
    let named = format!("candlemark: {}: ", path.display());
    let lines: Vec<&str> = run.told.lines().filter(|line| line.starts_with(&named)).collect();
    assert_eq!(lines.len(), 1, "{} on standard error:\n{}", path.display(), run.told);
    lines[0].strip_prefix("candlemark: ").unwrap().to_owned()
}

#[track_caller]
fn hold_good(file: &Value, path: &Path) {
    assert_eq!(file["path"].as_str(), path.to_str());
    assert!(file["error"].is_null() && file["integrated_lufs"].is_number(), "{file}");
}

#[test]
fn every_bad_file_is_told_and_the_good_ones_are_measured() {
    let home = Home::new();
    let bad = bad_files(home.folder());
    let good = [wav(home.folder(), "first.wav", &noise(4.0)), wav(home.folder(), "last.wav", &noise(5.0))];
    let mut asked: Vec<&Path> = bad.iter().map(|bad| bad.path.as_path()).collect();
    asked.insert(0, &good[0]);
    asked.push(&good[1]);

    let run = home.measured(&asked);
    assert_eq!(run.status, Some(2));
    let files = run.files();
    assert_eq!(files.len(), asked.len(), "one for each, in the order asked");
    hold_good(&files[0], &good[0]);
    hold_good(files.last().unwrap(), &good[1]);
    for (bad, file) in bad.iter().zip(&files[1..]) {
        assert_eq!(file["path"].as_str(), bad.path.to_str());
        let error = &file["error"];
        assert_eq!(error["kind"].as_str(), Some(bad.kind), "{error}");
        assert_eq!(error["message"].as_str(), Some(told_of(&run, &bad.path).as_str()));
        assert_eq!(file["duration_s"].is_number(), bad.has_figures, "{file}");
        assert_eq!(file["health"].is_object(), bad.has_figures, "{file}");
    }

    let page = home.run(["measure".as_ref()].into_iter().chain(asked.iter().copied()));
    assert_eq!(page.status, Some(2));
    assert_eq!(page.told, run.told, "people are told the same");
    for path in good.iter().chain(bad.iter().filter(|bad| bad.has_figures).map(|bad| &bad.path)) {
        assert!(page.printed.lines().any(|line| Some(line) == path.to_str()), "{}", page.printed);
    }
    assert_eq!(page.printed.matches("loudness  ").count(), 5, "{}", page.printed);
}

/// Alone, each ends the command with status 2 as well.
#[test]
fn each_bad_file_by_itself_is_status_2() {
    let home = Home::new();
    for bad in bad_files(home.folder()) {
        let run = home.run(["measure".as_ref(), bad.path.as_os_str()]);
        assert_eq!(run.status, Some(2), "{}: {}", bad.path.display(), run.told);
        told_of(&run, &bad.path);
        assert_eq!(run.printed.is_empty(), !bad.has_figures, "{}", run.printed);
    }
}

#[test]
fn samples_that_are_no_numbers_are_counted_and_spoil_nothing() {
    let home = Home::new();
    let clean = noise(4.0);
    let mut spoilt = clean.clone();
    spoilt.left[60_000] = f32::NAN;
    spoilt.right[60_100] = f32::NEG_INFINITY;
    let files =
        home.measure([wav(home.folder(), "clean.wav", &clean), wav(home.folder(), "spoilt.wav", &spoilt)]);
    assert_eq!(files[1]["health"]["non_finite"], 2);
    for key in ["integrated_lufs", "short_term_max_lufs", "fold_db", "correlation", "true_peak_dbtp"] {
        let [clean, spoilt] = [0, 1].map(|n: usize| files[n][key].as_f64().unwrap());
        assert!((clean - spoilt).abs() < 0.001, "{key}: {clean} and {spoilt}");
    }
}

#[test]
fn a_yardstick_is_not_taken_when_one_of_its_records_is_bad() {
    let home = Home::new();
    let good = wav(home.folder(), "good.wav", &noise(4.0));
    let good = good.to_str().unwrap();
    let other = wav(home.folder(), "other.wav", &noise(5.0));
    let other = other.to_str().unwrap();
    for bad in bad_files(home.folder()) {
        let run = home.run(["yardstick", "take", good, bad.path.to_str().unwrap(), other, "--name", "mine"]);
        run.refused(&[]);
        told_of(&run, &bad.path);
        let kept = home.run(["yardstick", "list", "--json"]).object();
        assert_eq!(kept["yardsticks"], Value::Array(Vec::new()), "{}", bad.path.display());
        let shelf = home.folder().join("yardsticks");
        assert!(
            !shelf.exists() || shelf.read_dir().unwrap().next().is_none(),
            "something is left on the shelf"
        );
    }
}

/// One record that is named twice would count as two, and its spread be taken for that of records.
#[test]
fn a_record_named_twice_is_one() {
    let home = Home::new();
    let good = wav(home.folder(), "good.wav", &noise(4.0));
    let again = home.folder().join(".").join("good.wav");
    let run =
        home.run(["yardstick", "take", good.to_str().unwrap(), again.to_str().unwrap(), "--name", "mine"]);
    run.refused(&["named twice"]);
}

/// What the decoding library makes of such a header is its own affair; a person gets one line.
#[test]
fn a_header_that_breaks_the_decoder_is_told_in_one_line() {
    let home = Home::new();
    let mut header = fs::read(surround(home.folder())).unwrap();
    // The channel count of the format chunk: 8194.
    header[22..24].copy_from_slice(&8194_u16.to_le_bytes());
    let path = bytes(home.folder(), "channels.wav", &header);
    let run = home.measured([&path]);
    assert_eq!(run.status, Some(2));
    assert!(run.files()[0]["error"]["kind"].is_string());
    told_of(&run, &path);
    assert_eq!(run.told.lines().count(), 1, "{}", run.told);
}
