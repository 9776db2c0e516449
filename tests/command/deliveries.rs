//! What a finished file must hold: `--delivery`, `--hold`, and `candlemark delivery`.

use std::fs;
use std::path::PathBuf;

use candlemark_tests::command::{Home, figure};
use candlemark_tests::signals::sine;
use candlemark_tests::sound::Sound;
use serde_json::Value;

use crate::files::{RATE, bytes, wav};

/// EBU Tech 3341 v4 (2023), case 1: it reads −23.0 LUFS and −23.0 dBTP.
fn at_minus_23() -> Sound {
    Sound::in_both(RATE, sine(RATE, 1000.0, -23.0, 0.0, 20.0))
}

/// A person's own profile, kept under a name.
fn own(home: &Home, name: &str, hold: &str) -> PathBuf {
    let folder = home.folder().join("deliveries");
    fs::create_dir_all(&folder).unwrap();
    let text =
        format!("format = \"candlemark-delivery\"\nversion = 1\nsource = \"the choir\"\n[hold]\n{hold}");
    bytes(&folder, &format!("{name}.toml"), text.as_bytes())
}

fn lines(file: &Value) -> Vec<(&str, &str)> {
    let lines = file["delivery"]["lines"].as_array().expect("lines are a list");
    lines.iter().map(|line| (line["figure"].as_str().unwrap(), line["verdict"].as_str().unwrap())).collect()
}

#[test]
fn what_holds_ends_well_and_what_does_not_ends_with_one() {
    let home = Home::new();
    let path = wav(home.folder(), "a print.wav", &at_minus_23());
    let path = path.to_str().unwrap();
    let held = home.run(["measure", path, "--delivery", "ebu-r128", "--hold"]).well();
    assert!(held.printed.contains("\"ebu-r128\": 2 held\n"), "{}", held.printed);
    let not = home.run(["measure", path, "--delivery", "aes-td1008-music", "--hold"]);
    assert_eq!((not.status, not.told.as_str()), (Some(1), ""), "{}", not.printed);
    assert!(not.printed.contains("1 held, 1 not held"), "{}", not.printed);
    assert!(not.printed.contains("LU under"), "{}", not.printed);
    assert_eq!(
        home.run(["measure", path, "--delivery", "aes-td1008-music"]).status,
        Some(0),
        "only when asked"
    );
}

#[test]
fn every_line_is_told_to_programs() {
    let home = Home::new();
    own(
        &home,
        "choir night",
        "integrated_lufs = { highest = -24 }\nrange_lu = { highest = 5 }\nhead_s = { highest = 0.1 }\n\
         bit_depth = { one_of = [16, 24] }\nchannels = { one_of = [2] }\nfold_db = { lowest = -1 }\n",
    );
    let path = wav(home.folder(), "a.wav", &at_minus_23());
    let run = home.run(["measure", "--json", path.to_str().unwrap(), "--delivery", "Choir Night", "--hold"]);
    assert_eq!(run.status, Some(1), "{}", run.told);
    let file = run.files().remove(0);
    assert_eq!(
        lines(&file),
        [
            ("integrated_lufs", "not-held"),
            ("range_lu", "cant-tell"),
            ("fold_db", "held"),
            ("head_s", "held"),
            ("bit_depth", "not-held"),
            ("channels", "held"),
        ]
    );
    let delivery = &file["delivery"];
    assert_eq!((delivery["held"].as_bool(), delivery["standing"].as_str()), (Some(false), Some("own")));
    let first = &delivery["lines"][0];
    assert!((figure(first, "distance") - (figure(&file, "integrated_lufs") + 24.0)).abs() < 1e-12);
    assert_eq!((figure(first, "value"), &first["lowest"]), (figure(&file, "integrated_lufs"), &Value::Null));
    assert_eq!(delivery["lines"][1]["why"], "too-short");
    assert_eq!(figure(&delivery["lines"][4], "value"), 32.0);
}

#[test]
fn a_file_that_is_cut_off_holds_nothing_for_certain() {
    let home = Home::new();
    let whole = wav(home.folder(), "whole.wav", &at_minus_23());
    let data = fs::read(whole).unwrap();
    let path = bytes(home.folder(), "cut.wav", &data[..data.len() - 1000]);
    let run = home.run(["measure", "--json", path.to_str().unwrap(), "--delivery", "ebu-r128"]);
    assert_eq!(run.status, Some(2));
    assert_eq!(lines(&run.files()[0]), [("integrated_lufs", "cant-tell"), ("true_peak_dbtp", "cant-tell")]);
}

#[test]
fn silence_before_and_after_is_measured() {
    let home = Home::new();
    own(&home, "edges", "head_s = { lowest = 0.5, highest = 0.5 }\ntail_s = { lowest = 2, highest = 2 }\n");
    let mut sound = at_minus_23();
    for plane in [&mut sound.left, &mut sound.right] {
        // A sine of 1 kHz begins with a sample of 0, and may end near one.
        plane[0] = 0.05;
        *plane.last_mut().unwrap() = 0.05;
        plane.splice(0..0, vec![0.0; (0.5 * RATE) as usize]);
        plane.extend(vec![0.0; (2.0 * RATE) as usize]);
    }
    let path = wav(home.folder(), "a.wav", &sound);
    let run = home.run(["measure", path.to_str().unwrap(), "--delivery", "edges", "--hold"]);
    assert_eq!(run.status, Some(0), "{}", run.printed);
}

#[test]
fn a_profile_that_can_not_be_used_is_told_with_its_line_and_the_file_is_measured() {
    let home = Home::new();
    let path = wav(home.folder(), "a.wav", &at_minus_23());
    let path = path.to_str().unwrap();
    own(&home, "damaged", "integrated = { highest = -14 }\n");
    own(&home, "crossed", "\nrange_lu = { lowest = 9, highest = 3 }\n");
    own(&home, "atsc-a85", "range_lu = { highest = 9 }\n");
    let newer = own(&home, "newer", "");
    fs::write(&newer, "format = \"candlemark-delivery\"\nversion = 7\n").unwrap();
    let not_one = bytes(home.folder(), "not one.toml", b"[package]\nname = \"x\"\n");
    for (asked, told) in [
        ("damaged", "line 5: unknown variant"),
        ("crossed", "in line 6 of this delivery profile, `range_lu`: its `lowest` lies over its `highest`"),
        ("newer", "of version 7"),
        ("no such one", "`candlemark delivery list` shows"),
        ("atsc-a85", "name of a published profile too"),
        ("./no/such.toml", "there is no such file"),
        (not_one.to_str().unwrap(), "this is not a delivery profile"),
        (home.folder().to_str().unwrap(), "this is a folder"),
    ] {
        let run = home.run(["measure", path, "--delivery", asked, "--hold"]);
        assert_eq!(run.status, Some(2), "{asked}");
        assert!(run.told.contains(told), "{asked}: {}", run.told);
        assert!(run.printed.contains("loudness"), "{asked}: {}", run.printed);
    }
    let list = home.run(["delivery", "list"]);
    assert_eq!(list.status, Some(2));
    assert!(
        list.told.lines().count() == 3 && list.printed.contains("ebu-r128"),
        "{}\n{}",
        list.told,
        list.printed
    );
}

#[test]
fn what_is_shown_can_be_kept_as_a_profile_of_ones_own() {
    let home = Home::new();
    let shown = home.run(["delivery", "show", "ebu-r128"]).well();
    let copy = bytes(home.folder(), "copy.toml", shown.printed.as_bytes());
    let [theirs, mine] = ["ebu-r128", copy.to_str().unwrap()]
        .map(|name| home.run(["delivery", "show", name, "--json"]).object()["limits"].clone());
    assert_eq!(theirs, mine);
    let list = home.run(["delivery", "list", "--json"]).object();
    let names = list["deliveries"].as_array().unwrap().iter().map(|one| one["name"].as_str().unwrap());
    assert!(
        names.clone().any(|name| name == "atsc-a85") && names.clone().any(|name| name == "aes-td1008-music")
    );
}
