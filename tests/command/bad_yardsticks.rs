//! Yardsticks that can't be used, or can't be kept: told, left as they are, and in nobody's way.

use std::fs;
use std::path::{Path, PathBuf};

use candlemark_tests::command::{Home, Run};
use serde_json::Value;

use crate::files::{noise, take, wav};

const GOOD: &str = "good";

/// A home with a record, a good yardstick of it, and spoilt copies of that.
struct Shelf {
    home: Home,
    record: PathBuf,
    /// Name, file, and the kind of its error.
    bad: Vec<(&'static str, PathBuf, &'static str)>,
}

fn shelf() -> Shelf {
    let home = Home::new();
    let record = wav(home.folder(), "record.wav", &noise(6.0));
    take(&home, GOOD, [&record]);
    let folder = home.folder().join("yardsticks");
    let text = fs::read_to_string(folder.join("good.toml")).unwrap();
    let replaced = |from: &str, to: &str| {
        assert!(text.contains(from), "{text}");
        text.replacen(from, to, 1).into_bytes()
    };
    let spoilt = [
        ("damaged", replaced("title = ", "title = = "), "yardstick-damaged"),
        ("half", text.as_bytes()[..text.len() / 2].to_vec(), "yardstick-damaged"),
        ("not text", [text.as_bytes(), b"\xff\xfe"].concat(), "yardstick-damaged"),
        ("foreign", b"[package]\nname = \"something else\"\n".to_vec(), "yardstick-foreign"),
        ("no toml", b"\x89PNG\r\n\x1a\n and so on".to_vec(), "yardstick-foreign"),
        ("nothing", Vec::new(), "yardstick-foreign"),
        ("newer", replaced("version = 1", "version = 2"), "yardstick-newer"),
        ("no number", replaced("integrated_lufs = ", "integrated_lufs = nan # "), "yardstick-figure"),
        ("large", vec![b'#'; 5 << 20], "yardstick-too-large"),
    ];
    let bad = spoilt
        .into_iter()
        .map(|(name, bytes, kind)| {
            let path = folder.join(format!("{name}.toml"));
            fs::write(&path, bytes).unwrap();
            (name, path, kind)
        })
        .collect();
    Shelf { home, record, bad }
}

#[track_caller]
fn hold_told(run: &Run, path: &Path) {
    assert_eq!(run.status, Some(2), "{}", run.told);
    let named = format!("candlemark: {}: ", path.display());
    assert!(run.told.lines().any(|line| line.starts_with(&named)), "{} for {named}", run.told);
}

#[test]
fn the_list_tells_each_bad_one_and_shows_the_others() {
    let Shelf { home, bad, .. } = shelf();
    let run = home.run(["yardstick", "list", "--json"]);
    let object = run.object();
    let entries = object["yardsticks"].as_array().unwrap();
    assert_eq!(entries.len(), bad.len() + 1);
    for (name, path, kind) in &bad {
        let entry = entries.iter().find(|entry| entry["name"] == *name).unwrap();
        assert_eq!(entry["error"]["kind"].as_str(), Some(*kind), "{name}: {entry}");
        assert!(entry["error"]["message"].as_str().unwrap().contains(path.to_str().unwrap()), "{entry}");
        assert!(entry["records"].is_null(), "{entry}");
        hold_told(&run, path);
    }
    let good = entries.iter().find(|entry| entry["name"] == GOOD).unwrap();
    assert!(good["error"].is_null() && good["records"] == 1, "{good}");
    let page = home.run(["yardstick", "list"]);
    assert_eq!((page.status, &page.told), (Some(2), &run.told));
    assert!(page.printed.contains("good: 1 record"), "{}", page.printed);
}

#[test]
fn a_bad_one_can_not_be_shown_or_moved_and_is_left_as_it_is() {
    let Shelf { home, bad, .. } = shelf();
    let elsewhere = home.folder().join("elsewhere.toml");
    for (name, path, _) in &bad {
        let before = fs::read(path).unwrap();
        let moves = [
            &["yardstick", "rename", name, "new name"][..],
            &["yardstick", "export", name, elsewhere.to_str().unwrap()],
            &["yardstick", "import", path.to_str().unwrap(), "--name", "new name"],
            &["yardstick", "import", path.to_str().unwrap(), "--name", GOOD, "--force"],
        ];
        for command in moves {
            let run = home.run(command);
            hold_told(&run, path);
            assert_eq!(run.printed, "", "{command:?}");
            assert_eq!(fs::read(path).unwrap(), before, "{command:?}");
            assert!(!elsewhere.exists(), "{command:?}");
        }
        for asked in [*name, path.to_str().unwrap()] {
            let run = home.run(["yardstick", "show", asked]);
            hold_told(&run, path);
            assert_eq!(run.printed, "", "{name}");
        }
        assert_eq!(fs::read(path).unwrap(), before, "{name}");
    }
    assert_eq!(home.run(["yardstick", "show", GOOD]).status, Some(0));
    assert_eq!(home.run(["yardstick", "show", "new name"]).status, Some(2));
}

/// Status 2 says that an argument could not be used, and that the others were: the file is measured.
#[test]
fn a_bad_one_leaves_the_files_measured() {
    let Shelf { home, record, bad } = shelf();
    let record = record.to_str().unwrap();
    for (name, path, _) in &bad {
        let run = home.run(["measure", record, "--yardstick", name, "--json"]);
        hold_told(&run, path);
        let file = &run.files()[0];
        assert!(file["integrated_lufs"].is_number() && file["yardstick"].is_null(), "{name}: {file}");
    }
}

#[test]
fn a_bad_one_can_be_dropped() {
    let Shelf { home, bad, .. } = shelf();
    for (name, path, _) in &bad {
        let run = home.run(["yardstick", "drop", name]);
        assert_eq!((run.status, path.exists()), (Some(0), false), "{name}: {}", run.told);
    }
    assert_eq!(home.run(["yardstick", "list"]).status, Some(0));
}

const NO_NAMES: [&str; 9] = ["../up", "a/b", "a\\b", "C:", "what?", "..", ".hidden", "", "nul"];

#[test]
fn a_name_with_path_characters_is_refused() {
    let Shelf { home, record, .. } = shelf();
    let record = record.to_str().unwrap();
    let good = home.folder().join("yardsticks/good.toml");
    let good = good.to_str().unwrap();
    let before = everything_below(home.folder());
    for name in NO_NAMES {
        let commands = [
            &["yardstick", "take", record, "--name", name][..],
            &["yardstick", "rename", GOOD, name],
            &["yardstick", "import", good, "--name", name],
            &["yardstick", "drop", name],
        ];
        for command in commands {
            home.run(command).refused(&[&format!("\"{}\"", name.escape_debug())]);
        }
    }
    assert_eq!(everything_below(home.folder()), before, "nothing was written or removed");
}

fn everything_below(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in folder.read_dir().unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(everything_below(&path));
        }
        found.push(path);
    }
    found.sort();
    found
}

#[test]
fn a_name_that_is_taken_is_refused_and_the_one_there_stays() {
    let Shelf { home, record, .. } = shelf();
    let path = home.folder().join("yardsticks/good.toml");
    let before = fs::read(&path).unwrap();
    for name in [GOOD, "GOOD"] {
        let run = home.run(["yardstick", "take", record.to_str().unwrap(), "--name", name]);
        run.refused(&["already", path.to_str().unwrap()]);
        assert_eq!(fs::read(&path).unwrap(), before);
    }
}

#[test]
fn what_is_not_there_can_not_be_shown_dropped_or_measured_against() {
    let Shelf { home, record, .. } = shelf();
    let record = record.to_str().unwrap();
    for command in [
        &["yardstick", "show", "nowhere"][..],
        &["yardstick", "drop", "nowhere"],
        &["measure", record, "--yardstick", "nowhere"],
    ] {
        let run = home.run(command);
        assert_eq!(run.status, Some(2), "{command:?}");
        assert!(run.told.contains("\"nowhere\""), "{command:?}: {}", run.told);
    }
    let by_path = home.run(["measure", record, "--yardstick", "./nowhere.toml"]);
    assert_eq!(by_path.status, Some(2));
    assert!(by_path.told.contains("./nowhere.toml"), "{}", by_path.told);
}

#[test]
fn a_shelf_that_is_a_file_is_told() {
    let home = Home::new();
    let record = wav(home.folder(), "record.wav", &noise(4.0));
    let shelf = home.folder().join("yardsticks");
    fs::write(&shelf, "in the way").unwrap();
    let run = home.run(["yardstick", "take", record.to_str().unwrap(), "--name", "mine"]);
    run.refused(&[shelf.to_str().unwrap()]);
    assert_eq!(fs::read(&shelf).unwrap(), b"in the way");
}

#[test]
fn a_record_too_short_for_a_balance_is_not_called_silent() {
    let home = Home::new();
    for seconds in [0.3, 2.0] {
        let record = wav(home.folder(), "short.wav", &noise(seconds));
        let run = home.run(["yardstick", "take", record.to_str().unwrap(), "--name", "mine"]);
        hold_told(&run, &record);
        assert!(run.told.contains("less than three seconds"), "{seconds} s: {}", run.told);
    }
}

/// What was taken is shown and listed as it was measured.
#[test]
fn a_good_one_is_shown_with_its_record_and_its_curve() {
    let Shelf { home, record, .. } = shelf();
    let shown = home.run(["yardstick", "show", GOOD, "--json"]).object();
    let measured = home.measure([&record]).remove(0);
    assert_eq!(shown["yardstick"]["name"].as_str(), Some(GOOD));
    let its_record = &shown["yardstick"]["record"][0];
    assert_eq!(its_record["title"].as_str(), Some("record.wav"));
    for key in
        ["duration_s", "integrated_lufs", "range_lu", "true_peak_dbtp", "plr_db", "fold_db", "correlation"]
    {
        assert_eq!(its_record[key], measured[key], "{key}");
    }
    let curve = shown["curve"].as_array().unwrap();
    let bands: &Vec<Value> = measured["bands"].as_array().unwrap();
    assert_eq!(curve.len(), bands.len());
    for (point, band) in curve.iter().zip(bands) {
        assert_eq!((&point["hz"], &point["middle_db"]), (&band["hz"], &band["relative_db"]));
    }
}
