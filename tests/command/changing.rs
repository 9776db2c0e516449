//! A file that is written to while the command reads it. The command is stopped in the middle of its reading, which Linux
//! tells of each of a process's open files (proc(5), `/proc/PID/fdinfo`), and goes on when the file is another.

use std::fs::{self, File};
use std::io::{Read as _, Seek as _, SeekFrom, Write as _};
use std::path::{Path, PathBuf};
use std::process::{Child, Stdio};

use candlemark_tests::command::{Home, Run};
use rustix::process::{Pid, Signal, WaitOptions, kill_process, waitpid};

use crate::files::{noise, wav};

/// Long enough to be caught in the middle, in seconds.
const LONG_S: f64 = 120.0;
/// Reading is in the middle where at least so much of the file lies before it and behind it, in bytes.
const AWAY: u64 = 1 << 20;

/// How far a process has read a file, of the places at which it has it open. `None` where it has it open no more.
fn read_so_far(child: &Child, path: &Path) -> Option<Vec<u64>> {
    let mut found = Vec::new();
    let folder = PathBuf::from(format!("/proc/{}", child.id()));
    for entry in fs::read_dir(folder.join("fd")).ok()? {
        let Ok(entry) = entry else { continue };
        // It may have been closed meanwhile.
        let Ok(target) = fs::read_link(entry.path()) else { continue };
        let Ok(info) = fs::read_to_string(folder.join("fdinfo").join(entry.file_name())) else { continue };
        if target == path {
            let position = info.lines().find_map(|line| line.strip_prefix("pos:"));
            found.extend(position.and_then(|position| position.trim().parse::<u64>().ok()));
        }
    }
    Some(found)
}

/// Runs the command, and changes a file of it in the middle of its reading.
fn changed_while_read(home: &Home, arguments: &[&str], path: &Path, change: impl FnOnce(&Path)) -> Run {
    let path = path.canonicalize().unwrap();
    let length = path.metadata().unwrap().len();
    let is_before =
        |end: u64| move |read: Vec<u64>| read.into_iter().any(|position| (AWAY..end).contains(&position));
    let mut command = home.command(arguments.iter().copied().chain([path.to_str().unwrap()]));
    let mut child = command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    let pid = Pid::from_child(&child);
    loop {
        let read = read_so_far(&child, &path);
        assert!(child.try_wait().unwrap().is_none(), "it was never seen reading");
        // A look that comes late leaves the other half to stop it in.
        if !read.is_some_and(is_before(length / 2)) {
            continue;
        }
        kill_process(pid, Signal::STOP).unwrap();
        let (_, status) = waitpid(Some(pid), WaitOptions::UNTRACED).unwrap().expect("it was waited for");
        assert!(status.stopped(), "{status:?}");
        break;
    }
    // It may have gone on between the look and the stop.
    assert!(read_so_far(&child, &path).is_some_and(is_before(length - AWAY)), "it was stopped too late");
    change(&path);
    kill_process(pid, Signal::CONT).unwrap();
    Run::of(child.wait_with_output().unwrap())
}

/// What becomes of a file, and how.
type Change = (&'static str, fn(&Path));

/// Every way in which a file becomes another under a reader.
fn changes() -> [Change; 5] {
    [
        ("grows", |path| {
            File::options().append(true).open(path).unwrap().write_all(&[0; 4096]).unwrap();
        }),
        ("shrinks", |path| {
            let file = File::options().write(true).open(path).unwrap();
            file.set_len(file.metadata().unwrap().len() / 2).unwrap();
        }),
        ("is written over in its place", |path| {
            let mut file = File::options().read(true).write(true).open(path).unwrap();
            let mut end = [0; 4096];
            file.seek(SeekFrom::End(-4096)).unwrap();
            file.read_exact(&mut end).unwrap();
            file.seek(SeekFrom::End(-4096)).unwrap();
            file.write_all(&end.map(|byte| byte ^ 1)).unwrap();
        }),
        ("is replaced by one as long and as old", |path| {
            let old = path.metadata().unwrap();
            let other = path.with_extension("new");
            fs::write(&other, vec![0; old.len() as usize]).unwrap();
            File::options().append(true).open(&other).unwrap().set_modified(old.modified().unwrap()).unwrap();
            fs::rename(other, path).unwrap();
        }),
        ("is removed", |path| fs::remove_file(path).unwrap()),
    ]
}

#[test]
fn whatever_becomes_of_a_file_it_is_told_and_no_figure_goes_without_that() {
    let home = Home::new();
    let sound = noise(LONG_S);
    for (how, change) in changes() {
        let path = wav(home.folder(), "song.wav", &sound);
        let run = changed_while_read(&home, &["measure", "--json"], &path, change);
        assert_eq!(run.status, Some(2), "{how}: {}", run.told);
        let told = format!("{}: it changed while it was read; measure it again", path.display());
        assert!(run.told.contains(&told), "{how}: {}", run.told);
        let file = &run.files()[0];
        assert_eq!(file["error"]["kind"], "changed", "{how}: {file}");
        assert!(file["error"]["message"].as_str().unwrap().starts_with(&told), "{how}: {file}");
    }
}

#[test]
fn the_page_and_the_sheet_say_so_beside_the_figures() {
    let home = Home::new();
    let path = wav(home.folder(), "song.wav", &noise(LONG_S));
    let sheet = home.folder().join("sheet.html");
    let arguments = ["measure", "--sheet", sheet.to_str().unwrap()];
    let run = changed_while_read(&home, &arguments, &path, changes()[0].1);
    assert_eq!(run.status, Some(2), "{}", run.told);
    let page = fs::read_to_string(sheet).unwrap();
    for text in [&run.printed, &page] {
        assert!(text.contains("it changed while it was read"), "{text}");
    }
}

#[test]
fn it_becomes_no_record_and_is_compared_with_nothing() {
    let home = Home::new();
    let path = wav(home.folder(), "song.wav", &noise(LONG_S));
    let take = ["yardstick", "take", "--name", "mine"];
    let run = changed_while_read(&home, &take, &path, changes()[0].1);
    run.refused(&["it changed while it was read"]);
    assert!(home.run(["yardstick", "list"]).printed.starts_with("no yardsticks"));

    let other = wav(home.folder(), "old.wav", &noise(30.0));
    let run = changed_while_read(&home, &["compare", other.to_str().unwrap()], &path, changes()[0].1);
    run.refused(&["it changed while it was read"]);
}
