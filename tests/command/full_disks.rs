//! A disk that is full: whatever was to be written is told not to be, what was there stays, and nothing is left half written.
//!
//! It is a small disk of its own (a tmpfs) where the system lets one be mounted, in a name space that ends with the test. Where it
//! does not, as in some containers, the system is told to let no file grow over two kilobytes, which fails in the same
//! place. Which of the two it was is printed.

use std::ffi::OsString;
use std::fs::{self, File};
use std::io::Write as _;
use std::path::PathBuf;
use std::process::{Command, Stdio};
use std::{env, iter};

use candlemark_files::journal::{Journals, Sure};
use candlemark_files::kept::KeptFile;
use candlemark_session::chair::{Knob, Marks, MonitorMark};
use candlemark_session::pencil::{MetersRead, PencilMark, SongPlace};
use candlemark_session::song_page::{Item, Line, SongId};
use candlemark_tests::command::{Home, Run, run_in};
use candlemark_tests::own_process::again;
use candlemark_tests::paths::files_below;

use rustix::process::{Resource, Rlimit, getrlimit, setrlimit};

use crate::files::{noise, wav};

const DISK: &str = "CANDLEMARK_TEST_DISK";
const SONG: &str = "CANDLEMARK_TEST_SONG";
const IS_REAL: &str = "CANDLEMARK_TEST_DISK_IS_REAL";
/// So much is left free on the small disk, in bytes: a page of memory, of which a tmpfs is made (Linux, tmpfs.rst).
const FREE_BYTES: u64 = 4096;

/// A disk that is about to be full.
struct Disk {
    folder: PathBuf,
    song: PathBuf,
    is_real: bool,
}

impl Disk {
    /// Fills it but for a page.
    fn fill(&self) {
        if !self.is_real {
            return;
        }
        let path = self.folder.join("filler");
        let mut filler = File::create(&path).unwrap();
        while filler.write_all(&[7; 512]).is_ok() {}
        let length = filler.metadata().unwrap().len();
        filler.set_len(length.saturating_sub(FREE_BYTES)).unwrap();
    }

    /// Fills it to its last byte, for what is smaller than a page. Where it is no disk of its own, no file of this process
    /// and of those it starts grows any more (setrlimit(2), `RLIMIT_FSIZE`).
    fn fill_to_the_last_byte(&self) {
        if !self.is_real {
            let most = getrlimit(Resource::Fsize).maximum;
            return setrlimit(Resource::Fsize, Rlimit { current: Some(0), maximum: most }).unwrap();
        }
        let mut filler = File::create(self.folder.join("filler")).unwrap();
        while filler.write_all(&[7]).is_ok() {}
    }

    fn run<'a>(&self, arguments: impl IntoIterator<Item = &'a str>) -> Run {
        run_in(&self.folder, arguments)
    }

    fn at(&self, name: &str) -> String {
        self.folder.join(name).to_str().unwrap().to_owned()
    }

    fn song(&self) -> &str {
        self.song.to_str().unwrap()
    }

    /// Every file on it but what fills it.
    fn names(&self) -> Vec<String> {
        let name = |path: &PathBuf| path.strip_prefix(&self.folder).unwrap().to_str().unwrap().to_owned();
        let names = files_below(&self.folder, &|_| false);
        names.iter().map(name).filter(|name| name != "filler").collect()
    }
}

/// It was told in words that say what and where.
#[track_caller]
fn refused(run: &Run, place: &str) {
    assert_eq!(run.status, Some(2), "{}{}", run.printed, run.told);
    assert!(run.told.contains("can't be written") && run.told.contains(place), "{}", run.told);
}

/// Runs a test's body in a process of its own that has such a disk.
fn on_a_disk(test: &str, body: impl FnOnce(&Disk)) {
    if let Some(folder) = env::var_os(DISK) {
        let song = env::var_os(SONG).unwrap().into();
        return body(&Disk { folder: folder.into(), song, is_real: env::var_os(IS_REAL).is_some() });
    }
    let home = Home::new();
    let song = wav(home.folder(), "song.wav", &noise(4.0));
    let folder = home.folder().join("disk");
    fs::create_dir(&folder).unwrap();
    let mounts = |arguments: &[&str]| {
        let mut unshare = Command::new("unshare");
        unshare.args(arguments).args(["sh", "-c", "mount -t tmpfs none \"$0\""]).arg(&folder);
        unshare.stderr(Stdio::null()).status().is_ok_and(|status| status.success())
    };
    let way = [["-m"].as_slice(), &["-U", "-r", "-m"]].into_iter().find(|way| mounts(way));
    let test_itself = again(test);
    let (program, script): (Vec<&str>, &str) = match way {
        Some(way) => (
            iter::once("unshare").chain(way.iter().copied()).chain(["sh"]).collect(),
            "mount -t tmpfs -o size=64k none \"$0\" && exec \"$@\"",
        ),
        None => (vec!["sh"], "trap '' XFSZ; ulimit -f 4; exec \"$@\""),
    };
    let mut command = Command::new(program[0]);
    command.args(&program[1..]).args(["-c", script]).arg(&folder).arg(test_itself.get_program());
    command.args(test_itself.get_args().map(OsString::from)).env(DISK, &folder).env(SONG, &song);
    if way.is_some() {
        command.env(IS_REAL, "1");
    }
    println!("{test}: {}", if way.is_some() { "a disk of 64 kB" } else { "no file over 2 kB" });
    let output = command.output().unwrap();
    let printed = String::from_utf8_lossy(&output.stdout);
    let complaint = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success() && printed.contains("1 passed"), "{printed}{complaint}");
}

#[test]
fn a_sheet() {
    on_a_disk("full_disks::a_sheet", |disk| {
        // What tells that it is a sheet; a whole one would not fit.
        let old = "<!DOCTYPE html><meta name=\"generator\" content=\"Candlemark 0.1.0\">";
        fs::write(disk.at("sheet.html"), old).unwrap();
        disk.fill();
        let sheet = disk.at("sheet.html");
        let run = disk.run(["measure", disk.song(), "--sheet", &sheet, "--force"]);
        refused(&run, &sheet);
        assert!(run.printed.contains("LUFS"), "it is measured all the same: {}", run.printed);
        assert_eq!(fs::read_to_string(&sheet).unwrap(), old);
        let new = disk.at("new.html");
        refused(&disk.run(["measure", disk.song(), "--sheet", &new]), &new);
        assert_eq!(disk.names(), ["sheet.html"]);
    });
}

#[test]
fn a_yardstick_and_one_that_is_written_out() {
    on_a_disk("full_disks::a_yardstick_and_one_that_is_written_out", |disk| {
        fs::create_dir(disk.at("yardsticks")).unwrap();
        disk.fill();
        let run = disk.run(["yardstick", "take", disk.song(), "--name", "mine"]);
        refused(&run, "mine");
        assert_eq!(disk.names(), [] as [&str; 0]);
        // From a shelf that lies elsewhere.
        let shelf = disk.song.parent().unwrap();
        let elsewhere = |arguments: &[&str]| run_in(shelf, arguments);
        if disk.is_real {
            _ = elsewhere(&["yardstick", "take", disk.song(), "--name", "mine"]).well();
            let out = disk.at("mine.toml");
            refused(&elsewhere(&["yardstick", "export", "mine", &out]), &out);
            assert_eq!(disk.names(), [] as [&str; 0]);
        }
    });
}

/// Where a mark can't be written to the journal, what was written before stays readable, and the next one that can be is.
#[test]
fn pencil_marks_and_their_journal() {
    on_a_disk("full_disks::pencil_marks_and_their_journal", |disk| {
        let mark = |number: u32| Line {
            at_unix_s: f64::from(number),
            item: Item::Mark(PencilMark {
                number,
                listen: 1,
                made_unix_s: f64::from(number),
                at: SongPlace { song_s: 61.5, beats: None },
                read: MetersRead::default(),
                note: "the bridge drags".repeat(10),
                dealt_with: false,
            }),
        };
        let journals = Journals::at(disk.folder.join("journals"));
        let id = SongId::of_bits(7);
        let (mut journal, _) = journals.open(&id).unwrap();
        journal.write(&mark(1), Sure::OfTheMachine).unwrap();
        disk.fill();
        let mut written = 1;
        let error = loop {
            match journal.write(&mark(written + 1), Sure::OfTheMachine) {
                Ok(()) => written += 1,
                Err(error) => break error.to_string(),
            }
            assert!(written < 200, "it never fills");
        };
        assert!(error.contains(&disk.at("journals")), "{error}");
        if disk.is_real {
            fs::remove_file(disk.at("filler")).unwrap();
            journal.write(&mark(written + 1), Sure::OfTheMachine).unwrap();
            written += 1;
        }
        drop(journal);
        let (_, found) = journals.open(&id).unwrap();
        let numbers: Vec<u32> = found.page.marks().iter().map(|mark| mark.number).collect();
        assert_eq!(numbers, (1..=written).collect::<Vec<_>>());
        assert_eq!(found.unreadable, 0);
    });
}

/// The room that was kept stays, and what was reckoned is printed all the same.
#[test]
fn a_room_that_is_to_be_kept() {
    on_a_disk("full_disks::a_room_that_is_to_be_kept", |disk| {
        _ = disk.run(["room", "5", "4", "2.5", "--keep"]).well();
        let old = fs::read(disk.at("room.toml")).unwrap();
        disk.fill_to_the_last_byte();
        let run = disk.run(["room", "6", "4", "2.5", "--keep"]);
        refused(&run, &disk.at("room.toml"));
        assert!(run.printed.contains("a room of 6.00 by 4.00 by 2.50 m"), "{}", run.printed);
        assert_eq!(fs::read(disk.at("room.toml")).unwrap(), old);
        assert_eq!(disk.names(), ["room.toml"]);
    });
}

/// The marks of the monitor knob, as the window keeps them: those that were there stay, and are read back.
#[test]
fn marks_of_the_monitor_knob() {
    on_a_disk("full_disks::marks_of_the_monitor_knob", |disk| {
        let file = KeptFile::at(disk.at("monitor.toml"));
        let mut marks = Marks::default();
        marks.put(Knob::Quiet, MonitorMark::new(61.0, -23.0));
        file.save(&marks).unwrap();
        disk.fill_to_the_last_byte();
        let mut more = marks;
        more.put(Knob::Loud, MonitorMark::new(84.0, -23.0));
        let error = file.save(&more).unwrap_err().to_string();
        assert!(error.contains("can't be written") && error.contains(&disk.at("monitor.toml")), "{error}");
        assert_eq!(file.load().unwrap(), Some(marks));
        assert_eq!(disk.names(), ["monitor.toml"]);
    });
}
