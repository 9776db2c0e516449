//! What can't be used is answered with what to do, and exit status 2; no window opens.

use std::fs;

use tempfile::TempDir;

use crate::desk::{command, noise, refused};

#[track_caller]
fn unusable(arguments: &[&str], home: &TempDir, parts: &[&str]) {
    let told = refused(command(arguments, home.path()).current_dir(home.path()), parts);
    assert!(!told.contains("ALSA lib") && !told.contains("panicked"), "{told}");
}

#[test]
fn files_that_cannot_be_played() {
    let home = TempDir::new().expect("a temporary folder can be made");
    noise(1.0, 4).write_wav(&home.path().join("song.wav"));
    let song = fs::read(home.path().join("song.wav")).expect("the file can be read");
    fs::write(home.path().join("head.wav"), &song[..30]).expect("a file can be written");
    fs::write(home.path().join("empty.wav"), "").expect("a file can be written");
    fs::write(home.path().join("words.wav"), "these are words").expect("a file can be written");
    fs::create_dir(home.path().join("records")).expect("a folder can be made");

    unusable(&["missing.wav"], &home, &["missing.wav: there is no such file", "check the spelling"]);
    unusable(&["head.wav"], &home, &["head.wav: cut off", "anew"]);
    unusable(&["empty.wav"], &home, &["empty.wav"]);
    unusable(&["words.wav"], &home, &["words.wav: this is not a sound file", "WAV"]);
    unusable(&["records"], &home, &["records: this is a folder", "name the files in it"]);
}

#[test]
fn devices_that_are_not_there() {
    let home = TempDir::new().expect("a temporary folder can be made");
    noise(1.0, 5).write_wav(&home.path().join("song.wav"));
    unusable(&["--backend", "jack"], &home, &["no JACK server runs; start one"]);
    unusable(&["--backend", "jack", "song.wav"], &home, &["no JACK server runs; start one"]);
    unusable(&["--backend", "alsa"], &home, &["alsa", "connect a device", "--backend dummy"]);
    unusable(&["--input", "harbour"], &home, &["harbour", "no JACK server runs"]);
    unusable(&["--output", "harbour", "song.wav"], &home, &["harbour"]);
    unusable(&["--backend", "dummy", "--input", "harbour"], &home, &["has no devices"]);
}

#[test]
fn arguments_that_do_not_go_together() {
    let home = TempDir::new().expect("a temporary folder can be made");
    unusable(&["song.wav", "--input", "a"], &home, &["--input", "cannot be used with"]);
    unusable(&["song.wav", "--rate", "48000"], &home, &["--rate", "cannot be used with"]);
    unusable(&["--mute", "--output", "a"], &home, &["--mute", "cannot be used with"]);
    unusable(&["--again"], &home, &["FILE"]);
    unusable(&["--rate", "7999"], &home, &["8000..=384000"]);
    unusable(&["--backend", "telegraph"], &home, &["telegraph", "auto, jack, alsa, dummy"]);
}

#[test]
fn without_a_display_there_is_no_window() {
    let home = TempDir::new().expect("a temporary folder can be made");
    unusable(&["--backend", "dummy"], &home, &["no window can be opened", "DISPLAY"]);
    // One that nobody has started: servers count from 0.
    refused(command(["--backend", "dummy"], home.path()).env("DISPLAY", ":54321"), &[]);
}

#[test]
fn help_lists_what_there_is() {
    let home = TempDir::new().expect("a temporary folder can be made");
    let output = command(["--help"], home.path()).output().expect("candlemark-desk can be started");
    assert_eq!(output.status.code(), Some(0));
    let page = String::from_utf8_lossy(&output.stdout);
    for part in [
        "[FILE]",
        "--again",
        "--input <DEVICE>",
        "--output <DEVICE>",
        "--mute",
        "--backend <BACKEND>",
        "--rate <HZ>",
        "--block <FRAMES>",
        "- auto:",
        "- jack:",
        "- alsa:",
        "- dummy:",
        "feeds back",
        "exit status",
    ] {
        assert!(page.contains(part), "{part:?} is not on the page:\n{page}");
    }
    assert!(page.lines().all(|line| line.chars().count() <= 100), "{page}");
}
