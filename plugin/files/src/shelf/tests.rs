//! Keeping, finding and dropping; what is damaged is in nobody's way.

use super::*;
use crate::yardstick_toml::samples::named;
use tempfile::TempDir;

pub(super) fn shelf() -> (TempDir, Shelf) {
    let folder = TempDir::new().unwrap();
    let shelf = Shelf::at(folder.path().join("yardsticks"));
    (folder, shelf)
}

fn files_in(shelf: &Shelf) -> Vec<String> {
    let entries = std::fs::read_dir(shelf.folder()).unwrap();
    let mut names: Vec<_> =
        entries.map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned()).collect();
    names.sort();
    names
}

#[test]
fn a_yardstick_comes_back_as_it_was_put_there() {
    let (_folder, shelf) = shelf();
    assert!(shelf.list().unwrap().is_empty(), "a shelf that is not there is empty");
    for name in ["folk", "Kühle Töne", "a.b"] {
        let path = shelf.save(&named(name)).unwrap();
        assert_eq!(shelf.load(name).unwrap(), named(name));
        assert_eq!(load_path(&path).unwrap(), named(name));
    }
    let names: Vec<_> = shelf.list().unwrap().into_iter().map(|entry| entry.name).collect();
    assert_eq!(names, ["a.b", "folk", "Kühle Töne"]);
    assert_eq!(files_in(&shelf), ["Kühle Töne.toml", "a.b.toml", "folk.toml"], "and nothing beside them");
}

#[test]
fn nothing_is_overwritten() {
    let (_folder, shelf) = shelf();
    let path = shelf.save(&named("Folk")).unwrap();
    let before = std::fs::read(&path).unwrap();
    for name in ["Folk", "folk", "FOLK"] {
        let mut other = named(name);
        other.records[0].duration_s = 1.0;
        let error = shelf.save(&other).unwrap_err();
        assert!(matches!(&error, FileError::YardstickExists { name, .. } if name == "Folk"), "{error}");
    }
    assert_eq!(std::fs::read(&path).unwrap(), before);
    assert_eq!(files_in(&shelf), ["Folk.toml"]);
}

#[test]
fn what_can_not_be_saved_leaves_nothing_behind() {
    let (_folder, shelf) = shelf();
    let mut wrong = named("wrong");
    wrong.records[0].integrated_lufs = f64::NAN;
    assert_eq!(shelf.save(&wrong).unwrap_err().kind(), "yardstick-figure");
    assert_eq!(shelf.save(&named("../wrong")).unwrap_err().kind(), "yardstick-name");
    assert!(!shelf.folder().exists());

    let file = tempfile::NamedTempFile::new().unwrap();
    let error = Shelf::at(file.path().join("in a file")).save(&named("folk")).unwrap_err();
    assert!(matches!(error.kind(), "not-writable" | "missing"), "{error}");
}

#[test]
fn one_damaged_file_never_hides_the_others_and_is_left_alone() {
    let (_folder, shelf) = shelf();
    shelf.save(&named("whole")).unwrap();
    let text = to_toml(&named("x"));
    for (name, bytes, kind) in [
        ("binary", b"\xff\xfe\0\x01".to_vec(), "yardstick-foreign"),
        ("cut", text.as_bytes()[..text.len() / 2].to_vec(), "yardstick-damaged"),
        ("empty", Vec::new(), "yardstick-foreign"),
        ("huge", vec![b' '; MOST_BYTES as usize + 1], "yardstick-too-large"),
        ("newer", text.replace("version = 1", "version = 9").into_bytes(), "yardstick-newer"),
        ("copied", text.clone().into_bytes(), "none"),
    ] {
        let path = shelf.folder().join(format!("{name}.toml"));
        std::fs::write(&path, &bytes).unwrap();
        let found = shelf.list().unwrap().into_iter().find(|entry| entry.name == name).unwrap();
        assert_eq!(found.yardstick.map_or_else(|error| error.kind(), |_| "none"), kind, "{name}");
        assert_eq!(std::fs::read(&path).unwrap(), bytes, "{name} is as it was");
    }
    let mut not_text = text.clone().into_bytes();
    *not_text.last_mut().unwrap() = 0xff;
    let path = shelf.folder().join("not text.toml");
    std::fs::write(&path, not_text).unwrap();
    let line = text.lines().count();
    assert!(load_path(&path).unwrap_err().to_string().contains(&format!("in line {line}")));

    std::fs::create_dir(shelf.folder().join("folder.toml")).unwrap();
    std::fs::write(shelf.folder().join("notes.txt"), "not ours").unwrap();
    std::fs::write(shelf.folder().join(".new-1.tmp"), "left by a crash").unwrap();
    let list = shelf.list().unwrap();
    assert_eq!(list.len(), 9);
    assert!(list.iter().any(|entry| entry.name == "whole" && entry.yardstick.is_ok()));
}

#[test]
fn what_is_asked_for_is_found_or_told_to_be_missing() {
    let (_folder, shelf) = shelf();
    shelf.save(&named("Folk")).unwrap();
    assert_eq!(shelf.load("folk").unwrap().name, "Folk");
    assert_eq!(shelf.load("jazz").unwrap_err().kind(), "yardstick-missing");
    assert_eq!(shelf.load("../Folk").unwrap_err().kind(), "yardstick-name");
    assert_eq!(shelf.drop_named("jazz").unwrap_err().kind(), "yardstick-missing");
    assert_eq!(load_path(&shelf.folder().join("jazz.toml")).unwrap_err().kind(), "missing");
    assert_eq!(load_path(shelf.folder()).unwrap_err().kind(), "folder");
    shelf.drop_named("Folk").unwrap();
    assert!(files_in(&shelf).is_empty());
    shelf.save(&named("Folk")).unwrap();
}
