//! `candlemark compare`: one print of a song beside another.

use std::f64::consts::TAU;
use std::path::PathBuf;

use candlemark_tests::command::{Home, Run, figure};
use candlemark_tests::signals::Noise;
use candlemark_tests::sound::Sound;

use crate::files::{RATE, bytes, noise, wav};

/// Noise whose level wanders, as a song's does: a step every half second.
fn song(seconds: f64) -> Sound {
    let levels = Noise::new(64).white(2 * seconds as usize + 1, 0.4);
    let level = |frame: usize| 0.6 + levels[(frame as f64 / (0.5 * RATE)) as usize];
    noise(seconds).by_side(|plane| plane.iter().enumerate().map(|(frame, x)| x * level(frame)).collect())
}

/// A place in a sound.
fn at(seconds: f64) -> usize {
    (seconds * RATE) as usize
}

/// A frame that is lifted: y[n] = x[n] + (x[n] − x[n−1]) / 2.
fn lifted((x, before): (&f32, &f32)) -> f32 {
    x + 0.5 * (x - before)
}

/// What that does to a frequency, by its definition: |1 + (1 − e^(−jω))/2|.
fn gain_db(hz: f64) -> f64 {
    let (sin, cos) = (TAU * hz / RATE).sin_cos();
    10.0 * ((1.5 - 0.5 * cos).powi(2) + (0.5 * sin).powi(2)).log10()
}

/// A new print: 2.35 s more at its head, two fifths of the amplitude, and lifted.
fn new_print(old: &Sound) -> Sound {
    old.by_side(|plane| {
        let mut new = vec![0.0; at(2.35)];
        let before = std::iter::once(&0.0).chain(plane);
        new.extend(plane.iter().zip(before).map(|pair| 0.4 * lifted(pair)));
        new
    })
}

/// A sound that is silent from one second to another.
fn silent_in(sound: &Sound, from_s: f64, to_s: f64) -> Sound {
    sound.by_side(|plane| {
        let is_silent = |frame: usize| (from_s..to_s).contains(&(frame as f64 / RATE));
        plane.iter().enumerate().map(|(n, x)| if is_silent(n) { 0.0 } else { *x }).collect()
    })
}

/// What is said of two prints that are alike in all but this.
fn words(home: &Home, old: &Sound, new: &Sound) -> Vec<String> {
    let object = compare(home, pair(home, old, new).each_ref()).object();
    let words = object["words"].as_array().unwrap();
    words.iter().map(|sentence| sentence.as_str().unwrap().to_owned()).collect()
}

fn pair(home: &Home, old: &Sound, new: &Sound) -> [PathBuf; 2] {
    [wav(home.folder(), "old.wav", old), wav(home.folder(), "new.wav", new)]
}

fn compare(home: &Home, [old, new]: [&PathBuf; 2]) -> Run {
    home.run([&PathBuf::from("compare"), &PathBuf::from("--json"), old, new])
}

fn page(home: &Home, [old, new]: [&PathBuf; 2]) -> String {
    home.run([&PathBuf::from("compare"), old, new]).printed
}

/// Beside 1 kHz, a band at f moves as |1 + (1 − e^(−jω))/2| does, by its definition, within 0.3 dB: across a third octave the
/// filter is not one level.
#[test]
fn what_was_changed_is_found_wherever_the_print_begins() {
    let home = Home::new();
    let old = song(65.0);
    let files = pair(&home, &old, &new_print(&old));
    let run = compare(&home, files.each_ref()).well();
    let object = run.object();
    assert!((figure(&object, "later_s") - 2.35).abs() < 0.011, "{}", object["later_s"]);
    let changed = &object["changed"];
    assert!(figure(changed, "common_s") >= 63.0);
    let bands = changed["bands"].as_array().unwrap();
    let moved = |hz: f64| figure(bands.iter().find(|band| figure(band, "hz") == hz).unwrap(), "moved_db");
    for hz in [63.0, 250.0, 4000.0, 8000.0, 12_500.0] {
        let (seen, expected) = (moved(hz) - moved(1000.0), gain_db(hz) - gain_db(1000.0));
        assert!((seen - expected).abs() < 0.3, "{hz} Hz: {seen:.2}, by definition {expected:.2}");
    }
    // White noise has most of its K-weighted power high up, which came up: low down the balance has gone down.
    let words = object["words"].as_array().unwrap();
    assert!(
        words.iter().any(|sentence| sentence.as_str().unwrap().contains("has gone down by")),
        "{words:?}"
    );
    assert_eq!(changed["sections"].as_array().unwrap().len(), 3);
}

/// From 1:00 on, every band over the middle one is lifted as |1 + (1 − e^(−jω))/2| lifts it, by its definition; the middle of
/// the bands, 630 Hz, by less than 0.01 dB.
#[test]
fn what_was_turned_in_the_middle_of_the_song_has_its_place_and_its_bands() {
    let home = Home::new();
    let old = song(120.0);
    let new = old.by_side(|plane| {
        let before = std::iter::once(&0.0).chain(plane);
        let of = |(frame, pair): (usize, (&f32, &f32))| if frame < at(60.0) { *pair.0 } else { lifted(pair) };
        plane.iter().zip(before).enumerate().map(of).collect()
    });
    let files = pair(&home, &old, &new);
    let object = compare(&home, files.each_ref()).object();
    let turns = object["changed"]["turns"].as_array().unwrap().clone();
    let bands = object["changed"]["bands"].as_array().unwrap();
    let all: Vec<f64> = bands.iter().map(|band| figure(band, "hz")).collect();
    let lifted: Vec<f64> =
        all.into_iter().filter(|hz| (25.0..=16_000.0).contains(hz) && gain_db(*hz) >= 1.0).collect();
    assert_eq!(turns.len(), 1, "{turns:?}");
    assert!((figure(&turns[0], "at_s") - 60.0).abs() < 1.1 && turns[0]["until_s"].is_null(), "{turns:?}");
    assert_eq!(turns[0]["bands_hz"], serde_json::json!([lifted[0], 16_000.0]));
    let mean = lifted.iter().map(|hz| gain_db(*hz)).sum::<f64>() / lifted.len() as f64;
    assert!((figure(&turns[0], "moved_db") - mean).abs() < 0.2, "{turns:?}, by definition {mean:.2}");
    let page = page(&home, files.each_ref());
    let sentence = page.split_whitespace().collect::<Vec<_>>().join(" ");
    let amount = format!("{:.1} dB against what lies before.", figure(&turns[0], "moved_db"));
    assert!(sentence.contains("From 1:00 on, ") && sentence.contains(&amount), "{page}");
}

/// A fader that goes up by 20·log10 1.25 = 1.94 dB from 1:00 on is said once, and of no section. In the table every section
/// has all of it as loudness, and none of it as balance, within half the tenth that is told.
#[test]
fn a_fader_in_the_middle_of_the_song_is_said_once() {
    let home = Home::new();
    let old = song(150.0);
    let turned = |(frame, x): (usize, &f32)| if frame < at(60.0) { *x } else { 1.25 * x };
    let new = old.by_side(|plane| plane.iter().enumerate().map(turned).collect());
    let files = pair(&home, &old, &new);
    let object = compare(&home, files.each_ref()).object();
    let sections = object["changed"]["sections"].as_array().unwrap();
    assert_eq!(sections.len(), 5);
    for section in sections {
        let expected = if figure(section, "at_s") < 60.0 { 0.0 } else { 20.0 * 1.25f64.log10() };
        assert!((figure(section, "loudness_lu") - expected).abs() < 0.05, "{section}");
        let groups = section["groups_db"].as_array().unwrap();
        assert!(groups.iter().all(|db| db.as_f64().unwrap().abs() < 0.05), "{section}");
    }
    let words = object["words"].clone();
    let of_places: Vec<&str> = words
        .as_array()
        .unwrap()
        .iter()
        .filter_map(|s| s.as_str())
        .filter(|s| s.starts_with("From"))
        .collect();
    assert_eq!(of_places, ["From 1:00 on, it has come up by 1.9 dB against what lies before."]);
}

#[test]
fn a_print_beside_itself_has_changed_in_nothing() {
    let home = Home::new();
    let path = wav(home.folder(), "a.wav", &song(40.0));
    let object = compare(&home, [&path, &path]).object();
    assert_eq!((figure(&object, "later_s"), figure(&object["changed"], "loudness_lu")), (0.0, 0.0));
    let bands = object["changed"]["bands"].as_array().unwrap();
    assert!(bands.len() == 31 && bands.iter().all(|band| figure(band, "moved_db").abs() < 1e-12));
    let page = page(&home, [&path, &path]);
    assert!(page.contains("Both prints are equally loud."), "{page}");
    assert!(page.contains("The balance is as it was"), "{page}");
}

#[test]
fn what_can_not_be_compared_is_told() {
    let home = Home::new();
    let good = wav(home.folder(), "good.wav", &song(40.0));
    let steady = wav(home.folder(), "another.wav", &noise(40.0));
    let short = wav(home.folder(), "short.wav", &song(10.0));
    // 15 of its 40 s are left.
    let muted = wav(home.folder(), "muted.wav", &silent_in(&song(40.0), 15.0, 40.0));
    let broken = bytes(home.folder(), "broken.wav", b"no sound");
    for (other, told) in [
        (steady, "does not seem to be the same song"),
        (short, "short.wav: it is too short, 10.00 s: two prints are compared by 20 s"),
        (muted, "muted.wav: under 20 s of it are the same music as"),
        (broken, "not a sound file"),
        (home.folder().join("no such.wav"), "there is no such file"),
    ] {
        let run = compare(&home, [&good, &other]);
        run.refused(&[told]);
    }
}

/// 15.23 s cut out from 0:55 on: what lies before and what lies behind are the same music, 15.23 s apart, and nothing of it
/// is put beside other music. The new print's first 55 s lie beside the old one's from 15.23 to 70.23 s.
#[test]
fn a_section_that_was_cut_is_told_and_is_put_beside_nothing_else() {
    let home = Home::new();
    let old = song(230.0);
    let new = old.by_side(|plane| [&plane[..at(55.0)], &plane[at(70.23)..]].concat());
    let files = pair(&home, &old, &new);
    let object = compare(&home, files.each_ref()).object();
    assert!(
        (figure(&object, "later_s") + 15.23).abs() < 0.011,
        "the longer part counts: {}",
        object["later_s"]
    );
    let changed = &object["changed"];
    let cuts = changed["cuts"].as_array().unwrap();
    assert_eq!((cuts.len(), &changed["unlike"]), (1, &serde_json::json!([])), "{cuts:?}");
    assert!((figure(&cuts[0], "at_s") - 55.0).abs() < 0.51, "{cuts:?}");
    assert!((figure(&cuts[0], "cut_s") - 15.23).abs() < 0.011, "{cuts:?}");
    let left_out = cuts[0]["left_out_s"].as_array().unwrap();
    for (end, at_s) in left_out.iter().zip([15.23, 70.23]) {
        assert!((end.as_f64().unwrap() - at_s).abs() < 0.51, "{cuts:?}");
    }
    assert!(figure(changed, "loudness_lu").abs() < 0.01);
    let bands = changed["bands"].as_array().unwrap();
    assert!(bands.iter().all(|band| figure(band, "moved_db").abs() < 0.05), "{bands:?}");
    let sections = changed["sections"].as_array().unwrap();
    assert!(sections.iter().all(|section| figure(section, "loudness_lu").abs() < 0.05), "{sections:?}");
    assert!(sections.iter().all(|section| figure(section, "at_s") >= 70.23), "{sections:?}");
    let page = page(&home, files.each_ref());
    assert!(page.contains("15.23 s were cut at 0:5"), "{page}");
    assert!(page.contains("both begin at the same place"), "nothing was cut there: {page}");
}

/// 20 s cut out, 12 s before the song's end, and the song's last 4 s besides.
#[test]
fn what_was_cut_near_the_end_is_told_and_so_is_a_tail() {
    let home = Home::new();
    let old = song(100.0);
    let new = old.by_side(|plane| [&plane[..at(64.0)], &plane[at(84.0)..at(96.0)]].concat());
    let files = pair(&home, &old, &new);
    let object = compare(&home, files.each_ref()).object();
    let cuts = object["changed"]["cuts"].as_array().unwrap();
    assert_eq!((figure(&object, "later_s"), cuts.len()), (0.0, 1), "{cuts:?}");
    assert!((figure(&cuts[0], "at_s") - 64.0).abs() < 0.51, "{cuts:?}");
    assert!((figure(&cuts[0], "cut_s") - 20.0).abs() < 0.011 && cuts[0]["is_head"] == false, "{cuts:?}");
    let page = page(&home, files.each_ref());
    assert!(page.contains("the new one has 4.00 s less at its tail"), "{page}");
}

/// Either end trimmed: nothing is cut within.
#[test]
fn a_head_and_a_tail_that_were_trimmed_are_told() {
    let home = Home::new();
    let old = song(70.0);
    let new = old.by_side(|plane| plane[at(3.5)..at(58.0)].to_vec());
    let files = pair(&home, &old, &new);
    for (pair, how) in [([&files[0], &files[1]], "less"), ([&files[1], &files[0]], "more")] {
        let page = page(&home, pair);
        let told = format!("the new one has 3.50 s {how} at its head and 12.00 s {how} at its tail");
        assert!(page.contains(&told) && !page.contains("were cut"), "{page}");
    }
}

/// Half a minute of another song in its place.
#[test]
fn a_section_that_was_replaced_is_told_and_left_out() {
    let home = Home::new();
    let old = song(120.0);
    let other = song(240.0).by_side(|plane| plane.iter().rev().copied().collect());
    let replaced = |plane: &[f32], other: &[f32]| {
        [&plane[..at(50.0)], &other[at(0.23)..at(30.23)], &plane[at(80.0)..]].concat()
    };
    let new = Sound::stereo(RATE, replaced(&old.left, &other.left), replaced(&old.right, &other.right));
    let files = pair(&home, &old, &new);
    let changed = &compare(&home, files.each_ref()).object()["changed"];
    let unlike = changed["unlike"].as_array().unwrap();
    assert_eq!(unlike.len(), 1, "{unlike:?}");
    assert!((figure(&unlike[0], "at_s") - 50.0).abs() < 5.1, "{unlike:?}");
    assert!((figure(&unlike[0], "until_s") - 80.0).abs() < 5.1, "{unlike:?}");
    assert!(unlike[0]["moved_s"].is_null(), "{unlike:?}");
    assert!(figure(changed, "loudness_lu").abs() < 0.01);
    assert!((figure(changed, "common_s") - 90.0).abs() < 12.1, "{}", changed["common_s"]);
}

/// From 0:30 to 0:40.3 one of the two is muted: the tenth second of it in part. What is silent in both is nothing.
#[test]
fn a_part_that_is_silent_in_one_print_alone_is_told_and_left_out() {
    let home = Home::new();
    let both = silent_in(&song(90.0), 60.0, 75.0);
    let whole = wav(home.folder(), "whole.wav", &both);
    let part = wav(home.folder(), "part.wav", &silent_in(&both, 30.0, 40.3));
    let head = wav(home.folder(), "head.wav", &silent_in(&both, 0.0, 12.0));
    for (old, new, sentence) in [
        (&whole, &part, "From 0:30 to 0:40 the new print is silent, the old one is not."),
        (&part, &whole, "From 0:30 to 0:40 the old print is silent, the new one is not."),
        (&whole, &head, "From 0:00 to 0:12 the new print is silent, the old one is not."),
    ] {
        let object = compare(&home, [old, new]).object();
        let changed = &object["changed"];
        assert_eq!(changed["unlike"], serde_json::json!([]), "{sentence}");
        assert_eq!(changed["silent"].as_array().unwrap().len(), 1, "{}", changed["silent"]);
        assert!(figure(changed, "loudness_lu").abs() < 0.01, "{}", changed["loudness_lu"]);
        let first = object["words"][0].as_str().unwrap();
        assert!(first.starts_with(sentence), "{first}");
        let page = page(&home, [old, new]);
        assert!(page.contains("both begin at the same place"), "{page}");
    }
}

/// The first 20 s replaced by others, and the rest where it was.
#[test]
fn a_head_that_was_replaced_moves_nothing() {
    let home = Home::new();
    let old = song(90.0);
    let other = song(240.0);
    let replaced = |plane: &[f32], other: &[f32]| {
        let head: Vec<f32> = other.iter().rev().take(at(20.0)).copied().collect();
        [&head[..], &plane[at(20.0)..]].concat()
    };
    let new = Sound::stereo(RATE, replaced(&old.left, &other.left), replaced(&old.right, &other.right));
    let files = pair(&home, &old, &new);
    let page = page(&home, files.each_ref());
    assert!(page.contains("most of the song lies at the same place in both"), "{page}");
    assert!(!page.contains("0.00 s"), "{page}");
}

/// The right side is the left one's sound, half as strong. Mono keeps (1 ± 1/2)²/(2·(1 + 1/4)) of it: 0.9 as it is, 0.1 with the
/// right side turned over, which is 9.5 dB less.
#[test]
fn what_became_of_left_and_right_is_told() {
    let home = Home::new();
    let left = song(60.0).left;
    let old = Sound::stereo(RATE, left.clone(), left.iter().map(|x| 0.5 * x).collect());
    let turned = Sound::stereo(RATE, old.left.clone(), old.right.iter().map(|x| -x).collect());
    let exchanged = Sound::stereo(RATE, old.right.clone(), old.left.clone());
    let gone = Sound::stereo(RATE, old.left.clone(), vec![0.0; old.left.len()]);
    for (new, told) in [
        (&turned, "The mono fold has gone down by 9.5 dB: the new print loses more in mono."),
        (&exchanged, "Left and right are exchanged in the new print."),
        (&gone, "The right side of the new print is silent, the old one’s is not."),
    ] {
        let words = words(&home, &old, new);
        let of_sides: Vec<&String> = words
            .iter()
            .filter(|said| ["mono", "side", "Left"].iter().any(|word| said.contains(word)))
            .collect();
        assert_eq!(of_sides, [told], "{words:?}");
    }
}

/// Each frame of the old print twice, at twice its rate.
#[test]
fn different_sample_rates_are_said_once() {
    let home = Home::new();
    let old = song(40.0);
    let twice = old.by_side(|plane| plane.iter().flat_map(|x| [*x, *x]).collect());
    let new = Sound { rate: 2.0 * RATE, ..twice };
    let is_said = |said: &&String| said.starts_with("They have different sample rates:");
    assert_eq!(words(&home, &old, &new).iter().filter(is_said).count(), 1);
    assert_eq!(words(&home, &old, &old).iter().filter(is_said).count(), 0);
}
