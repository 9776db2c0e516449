//! Moving loses nothing, writes over nothing unasked, and leaves what can't be read alone.

use std::fs;

use tempfile::TempDir;

use super::*;
use crate::shelf::tests::shelf;
use crate::yardstick_toml::samples::{named, yardstick};

/// A shelf with "folk" and "jazz" on it, and room beside it.
fn place() -> (TempDir, Shelf) {
    let (folder, shelf) = shelf();
    shelf.save(&named("folk")).unwrap();
    let mut jazz = named("jazz");
    jazz.records[0].duration_s = 99.0;
    shelf.save(&jazz).unwrap();
    (folder, shelf)
}

fn names(shelf: &Shelf) -> Vec<String> {
    shelf.list().unwrap().into_iter().map(|entry| entry.name).collect()
}

fn kind<T: std::fmt::Debug>(done: Result<T, FileError>) -> &'static str {
    done.unwrap_err().kind()
}

#[test]
fn a_yardstick_is_called_otherwise_and_is_the_same() {
    let (_folder, shelf) = place();
    let (was, path) = shelf.rename("FOLK", "Warm folk").unwrap();
    assert_eq!((was.as_str(), path), ("folk", shelf.folder().join("Warm folk.toml")));
    assert_eq!(names(&shelf), ["jazz", "Warm folk"]);
    assert_eq!(shelf.load("Warm folk").unwrap(), named("Warm folk"));
}

#[test]
fn letters_alone_can_be_changed() {
    let (_folder, shelf) = place();
    shelf.rename("folk", "Folk").unwrap();
    assert_eq!(names(&shelf), ["Folk", "jazz"]);
    assert_eq!(shelf.load("Folk").unwrap(), named("Folk"));
    shelf.rename("Folk", "Folk").unwrap();
    assert_eq!(shelf.load("Folk").unwrap(), named("Folk"));
}

#[test]
fn a_name_that_is_taken_or_can_not_be_one_changes_nothing() {
    let (_folder, shelf) = place();
    let before = shelf.load("jazz").unwrap();
    assert_eq!(kind(shelf.rename("folk", "Jazz")), "yardstick-exists");
    assert_eq!(kind(shelf.rename("folk", "../folk")), "yardstick-name");
    assert_eq!(kind(shelf.rename("blues", "soul")), "yardstick-missing");
    fs::write(shelf.folder().join("spoilt.toml"), "spoilt").unwrap();
    assert_eq!(kind(shelf.rename("spoilt", "whole")), "yardstick-foreign");
    assert_eq!(names(&shelf), ["folk", "jazz", "spoilt"]);
    assert_eq!(shelf.load("jazz").unwrap(), before);
    assert_eq!(fs::read(shelf.folder().join("spoilt.toml")).unwrap(), b"spoilt");
}

#[test]
fn what_goes_out_comes_in_again_exactly() {
    let (folder, shelf) = place();
    let out = folder.path().join("out.toml");
    assert_eq!(shelf.export("Folk", &out, false).unwrap(), out);
    let into_folder = shelf.export("jazz", folder.path(), false).unwrap();
    assert_eq!(into_folder, folder.path().join("jazz.toml"));
    let other = Shelf::at(folder.path().join("other"));
    let (read, path) = other.import(&out, None, false).unwrap();
    assert_eq!((&read, path), (&named("folk"), other.folder().join("folk.toml")));
    let (read, _) = other.import(&out, Some("lent"), false).unwrap();
    assert_eq!(read, named("lent"));
    assert_eq!(fs::read(&out).unwrap(), fs::read(shelf.folder().join("folk.toml")).unwrap());
    assert_eq!(names(&other), ["folk", "lent"]);
}

#[test]
fn a_file_is_written_over_when_that_is_said_and_only_when_it_is_a_yardstick() {
    let (folder, shelf) = place();
    let out = folder.path().join("out.toml");
    shelf.export("folk", &out, false).unwrap();
    assert_eq!(kind(shelf.export("jazz", &out, false)), "exists");
    assert_eq!(load_path(&out).unwrap().name, "folk");
    shelf.export("jazz", &out, true).unwrap();
    assert_eq!(load_path(&out).unwrap().name, "jazz");
    let fresh = folder.path().join("fresh.toml");
    shelf.export("jazz", &fresh, true).unwrap();

    let newer = fs::read_to_string(&out).unwrap().replace("version = 1", "version = 9");
    for bytes in [b"RIFF a song".to_vec(), newer.into_bytes()] {
        fs::write(&out, &bytes).unwrap();
        assert_eq!(kind(shelf.export("folk", &out, true)), "not-replaced");
        assert_eq!(kind(shelf.import(&out, Some("in"), true)).split('-').next(), Some("yardstick"));
        assert_eq!(fs::read(&out).unwrap(), bytes);
        let kept = shelf.folder().join("kept.toml");
        fs::write(&kept, &bytes).unwrap();
        assert_eq!(kind(shelf.import(&fresh, Some("Kept"), true)), "not-replaced");
        assert_eq!(fs::read(&kept).unwrap(), bytes);
    }
    assert_eq!(names(&shelf), ["folk", "jazz", "kept"]);
}

#[test]
fn what_comes_in_takes_no_ones_place_unasked() {
    let (folder, shelf) = place();
    let out = shelf.export("jazz", &folder.path().join("out.toml"), false).unwrap();
    let folk = shelf.load("folk").unwrap();
    assert_eq!(kind(shelf.import(&out, Some("Folk"), false)), "yardstick-exists");
    assert_eq!(kind(shelf.import(&out, Some("a/b"), true)), "yardstick-name");
    assert_eq!(shelf.load("folk").unwrap(), folk);
    let (_, path) = shelf.import(&out, Some("Folk"), true).unwrap();
    assert_eq!(path, shelf.folder().join("Folk.toml"));
    assert_eq!(names(&shelf), ["Folk", "jazz"]);
    assert_eq!(shelf.load("Folk").unwrap().records[0].duration_s, 99.0);
    assert_eq!(kind(shelf.import(&folder.path().join("nowhere.toml"), None, false)), "missing");
    assert_eq!(kind(shelf.import(folder.path(), None, false)), "folder");
}

#[test]
fn a_place_that_can_not_be_written_to_is_told() {
    let (folder, shelf) = place();
    assert_eq!(kind(shelf.export("folk", &folder.path().join("no/such/folder.toml"), false)), "not-writable");
    assert_eq!(names(&shelf), ["folk", "jazz"]);
}

#[test]
fn a_record_is_added_or_all_is_as_it_was() {
    let (_folder, shelf) = place();
    let record = yardstick().records.remove(0);
    for titles in [["one.wav", "one.wav 2"].as_slice(), &["one.wav", "one.wav 2", "one.wav 3"]] {
        let (added, path) = shelf.add("Folk", record.clone()).unwrap();
        assert_eq!((&added, path), (&shelf.load("folk").unwrap(), shelf.folder().join("folk.toml")));
        assert!(added.records.iter().map(|record| record.title.as_str()).eq(titles.iter().copied()));
    }
    let before = shelf.load("folk").unwrap();
    let wrong = Record { integrated_lufs: f64::NAN, ..record.clone() };
    assert_eq!(kind(shelf.add("folk", wrong)), "yardstick-figure");
    assert_eq!(shelf.load("folk").unwrap(), before);
    assert_eq!(kind(shelf.add("blues", record)), "yardstick-missing");
}
