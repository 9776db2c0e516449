//! Several files in one run: each beside the others, and the odd one out.

use std::fs;
use std::path::PathBuf;

use candlemark_tests::command::{Home, figure};

use crate::files::{bytes, noise, take, wav};
use crate::sheets::{parsed, texts};

/// Four prints alike, and one that is 6 dB louder; one of them can't be read.
fn album(home: &Home) -> Vec<PathBuf> {
    let quiet = noise(8.0);
    let loud = quiet.times(2.0);
    let mut files: Vec<PathBuf> =
        (1..=4).map(|n| wav(home.folder(), &format!("song {n}.wav"), &quiet)).collect();
    files.insert(2, bytes(home.folder(), "broken.wav", b"no sound"));
    files.push(wav(home.folder(), "the loud one.wav", &loud));
    files
}

#[test]
fn the_odd_one_out_is_named_and_a_broken_one_hides_none() {
    let home = Home::new();
    let files = album(&home);
    let sheet = home.folder().join("sheet.html");
    let arguments =
        [PathBuf::from("measure"), "--sheet".into(), sheet.clone()].into_iter().chain(files.clone());
    let run = home.run(arguments);
    assert_eq!((run.status, run.told.lines().count()), (Some(2), 1), "{}", run.told);
    let table = run.printed.split("6 files side by side").nth(1).expect("there is a table");
    let sentence = "\"the loud one.wav\" is 6.0 LU louder than the middle of the others, which";
    assert!(table.contains(sentence), "{table}");
    assert!(table.contains("broken.wav: could not be read"), "{table}");
    assert_eq!(table.matches(".wav").count(), 7, "each once, and the loud one in its sentence:\n{table}");
    assert!(texts(&parsed(&sheet), ".odd")[0].contains("“the loud one.wav” is 6.0 LU louder"));
}

/// Twice the amplitude is 6.02 dB: 20·log10 2.
#[test]
fn each_is_put_beside_the_middle_of_the_others() {
    let home = Home::new();
    let run = home.measured(album(&home));
    let together = run.object()["side_by_side"].clone();
    let songs = together["songs"].as_array().unwrap();
    assert!((figure(&songs[5], "loudness_lu") - 20.0 * 2f64.log10()).abs() < 0.01, "{}", songs[5]);
    assert!(figure(&songs[5], "balance_db") < 0.05, "loudness alone is no balance: {}", songs[5]);
    assert_eq!(figure(&songs[0], "loudness_lu"), 0.0);
    assert!(songs[2]["loudness_lu"].is_null());
    let odd = together["odd"].as_array().unwrap();
    assert_eq!(
        (odd.len(), odd[0]["song"].as_u64(), odd[0]["odd_in"].as_str()),
        (1, Some(5), Some("loudness"))
    );
}

#[test]
fn one_file_has_no_table() {
    let home = Home::new();
    let path = wav(home.folder(), "a.wav", &noise(5.0));
    assert!(!home.run([PathBuf::from("measure"), path]).printed.contains("side by side"));
}

/// One file in each of four folders, all of one name; the third is twice as loud.
fn of_one_name(home: &Home) -> Vec<PathBuf> {
    let file = |(n, folder): (usize, &str)| {
        let folder = home.folder().join(folder);
        fs::create_dir(&folder).unwrap();
        wav(&folder, "mix.wav", &noise(8.0).times(if n == 2 { 2.0 } else { 1.0 }))
    };
    ["a", "b", "c", "d"].into_iter().enumerate().map(file).collect()
}

#[test]
fn files_of_one_name_are_told_apart_by_what_differs() {
    let home = Home::new();
    let files = of_one_name(&home);
    let sheet = home.folder().join("sheet.html");
    let arguments = [PathBuf::from("measure"), "--sheet".into(), sheet.clone()];
    let run = home.run(arguments.into_iter().chain(files)).well();
    let table = run.printed.split("4 files side by side").nth(1).expect("there is a table");
    assert!(table.contains("\"c/mix.wav\" is 6.0 LU louder than the middle of the others"), "{table}");
    let rows: Vec<&str> = table.trim_end().lines().filter_map(|line| line.split("   ").last()).collect();
    assert_eq!(&rows[rows.len() - 4..], ["a/mix.wav", "b/mix.wav", "c/mix.wav", "d/mix.wav"], "{table}");
    let html = parsed(&sheet);
    assert!(texts(&html, ".odd")[0].contains("“c/mix.wav” is 6.0 LU louder"));
    assert!(texts(&html, "h2").contains(&"a/mix.wav".to_owned()));
    assert!(texts(&html, "td a, th a").contains(&"b/mix.wav".to_owned()));
}

#[test]
fn records_of_one_name_are_told_apart_in_their_yardstick() {
    let home = Home::new();
    let taken = take(&home, "mine", of_one_name(&home));
    for page in [taken.printed, home.run(["yardstick", "show", "mine"]).printed] {
        for name in ["a/mix.wav", "b/mix.wav", "c/mix.wav", "d/mix.wav"] {
            assert_eq!(page.matches(&format!("  {name}: ")).count(), 1, "{name}:\n{page}");
        }
    }
}
