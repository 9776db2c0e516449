//! Where a print sheet is written, and where it is not: whole or not at all, and never over anything unasked.

use std::fs;
use std::path::{Path, PathBuf};

use candlemark_tests::command::{Home, Run};

use crate::files::{bytes, noise, wav};
use crate::sheets::{hold, parsed};

struct Print {
    home: Home,
    song: PathBuf,
}

impl Print {
    fn new() -> Self {
        let home = Home::new();
        let song = wav(home.folder(), "song.wav", &noise(3.0));
        Self { home, song }
    }

    fn measure(&self, sheet: &Path, more: &[&str]) -> Run {
        let arguments = [Path::new("measure"), &self.song, Path::new("--sheet"), sheet];
        self.home.run(arguments.into_iter().map(Path::as_os_str).chain(more.iter().map(AsRef::as_ref)))
    }

    #[track_caller]
    fn written(&self, sheet: &Path, more: &[&str]) {
        _ = self.measure(sheet, more).well();
    }

    fn names(&self) -> Vec<String> {
        let entries = fs::read_dir(self.home.folder()).unwrap();
        let mut names: Vec<String> =
            entries.map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned()).collect();
        names.sort();
        names
    }
}

#[track_caller]
fn refused(run: &Run, told: &str) {
    assert_eq!(run.status, Some(2), "{}", run.told);
    assert!(run.told.contains(told), "{}", run.told);
    assert!(run.printed.contains("LUFS"), "the file is measured all the same");
}

#[test]
fn a_sheet_that_is_there_is_kept_unless_it_is_to_be_written_over() {
    let print = Print::new();
    let sheet = print.home.folder().join("sheet.html");
    print.written(&sheet, &[]);
    let first = fs::read(&sheet).unwrap();
    refused(&print.measure(&sheet, &["--delivery", "ebu-r128"]), "write over it with --force");
    assert_eq!(fs::read(&sheet).unwrap(), first);
    print.written(&sheet, &["--delivery", "ebu-r128", "--force"]);
    assert_ne!(fs::read(&sheet).unwrap(), first);
    hold(&parsed(&sheet));
    assert_eq!(print.names(), ["sheet.html", "song.wav"], "and nothing beside them");
}

#[test]
fn a_file_without_a_byte_gives_way_to_a_sheet_that_is_asked_for_twice() {
    let print = Print::new();
    let sheet = bytes(print.home.folder(), "sheet.html", b"");
    refused(&print.measure(&sheet, &[]), "write over it with --force");
    print.written(&sheet, &["--force"]);
    hold(&parsed(&sheet));
}

/// `--sheet *.wav` names the first of the songs as the sheet; a profile may be named twice by mistake.
#[test]
fn what_is_no_sheet_is_never_written_over() {
    let print = Print::new();
    let folder = print.home.folder();
    let profile = print.home.run(["delivery", "show", "ebu-r128"]).printed;
    let profile = bytes(folder, "mine.toml", profile.as_bytes());
    let there = [
        wav(folder, "1.wav", &noise(1.0)),
        bytes(folder, "letter.html", b"<!DOCTYPE html><title>a letter</title>"),
        profile.clone(),
    ];
    for path in &there {
        let before = fs::read(path).unwrap();
        for more in [&["--force"][..], &[], &["--force", "--delivery", profile.to_str().unwrap()]] {
            refused(&print.measure(path, more), "is no print sheet");
            assert!(fs::read(path).unwrap() == before, "{}", path.display());
        }
    }
    assert_eq!(print.names(), ["1.wav", "letter.html", "mine.toml", "song.wav"]);
}

/// The link would be replaced, and what it leads to lost from sight.
#[cfg(unix)]
#[test]
fn a_link_is_what_it_leads_to() {
    let print = Print::new();
    let folder = print.home.folder();
    let notes = bytes(folder, "notes.txt", b"a person's own notes");
    for (name, to) in [("to notes.html", notes), ("to nothing.html", folder.join("gone"))] {
        let link = folder.join(name);
        std::os::unix::fs::symlink(to, &link).unwrap();
        refused(&print.measure(&link, &["--force"]), "is no print sheet");
        assert!(link.is_symlink());
    }
}

#[test]
fn no_song_is_written_over_by_whatever_way_it_is_named() {
    let print = Print::new();
    let before = fs::read(&print.song).unwrap();
    let another_way = print.home.folder().join(".").join("song.wav");
    for way in [&print.song, &another_way] {
        refused(&print.measure(way, &["--force"]), "one of the sound files");
    }
    assert_eq!(fs::read(&print.song).unwrap(), before);
}

#[test]
fn where_no_sheet_can_be_it_is_told_and_nothing_is_left() {
    let print = Print::new();
    let folder = print.home.folder();
    for place in
        [folder.join("no such folder").join("sheet.html"), folder.to_owned(), print.song.join("sheet.html")]
    {
        refused(&print.measure(&place, &["--force"]), "can't be written");
    }
    assert_eq!(print.names(), ["song.wav"]);
}

/// The kernel's own folder takes no files from anybody; the full device is none that could be replaced.
#[cfg(target_os = "linux")]
#[test]
fn a_folder_that_takes_no_files_and_a_device_are_told() {
    let print = Print::new();
    refused(&print.measure(Path::new("/sys/sheet.html"), &[]), "can't be written");
    refused(&print.measure(Path::new("/dev/full"), &["--force"]), "it is a device");
    assert!(fs::metadata("/dev/full").is_ok_and(|metadata| !metadata.is_file()));
}

/// Whoever may read new files here may read the sheet.
#[cfg(unix)]
#[test]
fn a_sheet_is_read_by_whoever_reads_other_files_here() {
    use std::os::unix::fs::PermissionsExt as _;
    let print = Print::new();
    let sheet = print.home.folder().join("sheet.html");
    print.measure(&sheet, &[]);
    let mode = |path: &Path| fs::metadata(path).unwrap().permissions().mode();
    assert_eq!(mode(&sheet), mode(&print.song));
}
