//! The journal: what is kept of a song, line by line as it comes to be, so that a host that dies takes nothing with it.
//!
//! One file a song, `ID.journal`, of lines of JSON that only ever grow: the first says the format, each other is a [`Line`]
//! of the song's page. A line is written whole, in one piece, before anything on screen says that it is kept. A last line
//! that was torn (a power cut, a full disk) is cut off when the file is opened next; one that can't be read is passed over
//! and left. A file that has grown is written anew when nobody else has it open, which `ID.lock` beside it tells.

mod error;

use std::fs::{File, OpenOptions, TryLockError};
use std::io::{Read, Seek, Write};
use std::path::{Path, PathBuf};
use std::thread::sleep;
use std::time::{Duration, SystemTime};

use candlemark_session::song_page::{Line, SongId, SongPage};
use serde::Deserialize;

use crate::error::FileError;
use crate::home;
use crate::written::{Replace, write_whole};
use error::Flaw::{self, NotReadable, NotWritable};
pub use error::JournalError;

/// The format that is written.
const FORMAT: u32 = 1;
/// Ending of a song's file.
const ENDING: &str = "journal";
/// A file that has grown beyond this is written anew (ours).
const GROWN_BYTES: u64 = 256 << 10;
/// No file of ours is larger (ours): it is written anew long before.
const MOST_BYTES: u64 = 16 << 20;
/// So many journals are kept however old they are (ours): some ten megabytes.
const KEPT_MOST: usize = 500;
/// Beyond them, one that nobody has written to for so long is let go (ours): its project holds a copy.
const OLD: Duration = Duration::from_hours(400 * 24);

/// Ending of the file that whoever has a journal open holds.
const LOCK_ENDING: &str = "lock";
/// Another process takes milliseconds to put a journal in order; it is waited for so often, and so long each time (ours).
const WAITS: usize = 200;
const WAIT: Duration = Duration::from_millis(5);

/// The first line.
#[derive(Deserialize)]
struct Header {
    candlemark_journal: u32,
}

/// The folder in which journals are kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Journals {
    folder: PathBuf,
}

/// The journal of one song, open to be written to.
#[derive(Debug)]
pub struct Journal {
    path: PathBuf,
    file: File,
    /// Held, and shared with whoever else has it open, so that nobody puts it in order under this one's hand. A file of its
    /// own: what is locked can't be written to on every system, and the journal's own place may be taken by another.
    _lock: File,
}

/// What was found in a journal when it was opened.
#[derive(Clone, Debug, PartialEq)]
pub struct Found {
    /// The song's page, as far as the journal tells it.
    pub page: SongPage,
    /// Bytes of a torn last line that were cut off.
    pub cut_bytes: u64,
    /// Lines that can't be read; they are left where they are.
    pub unreadable: usize,
}

/// How sure a line is to be there after it is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sure {
    /// Whatever becomes of the host.
    OfTheHost,
    /// Whatever becomes of the machine. Takes as long as the disk does.
    OfTheMachine,
}

impl Journals {
    /// The user's: `journals` in the folder that `CANDLEMARK_HOME` names; without that, `candlemark/journals` in the
    /// system's folder for a user's data. It need not exist yet.
    ///
    /// # Errors
    ///
    /// When the system does not say where the user's data lives.
    pub fn of_user() -> Result<Self, FileError> {
        Ok(Self::at(home::of_user()?.join("journals")))
    }

    /// Those in `folder`, which need not exist yet.
    pub fn at(folder: impl Into<PathBuf>) -> Self {
        Self { folder: folder.into() }
    }

    /// The file of a song.
    pub fn path_of(&self, id: &SongId) -> PathBuf {
        self.folder.join(format!("{}.{ENDING}", id.as_str()))
    }

    /// Opens a song's journal, and begins it where there is none.
    ///
    /// # Errors
    ///
    /// When it can't be read or written, is none, is of a newer format, or another process keeps it to itself for over a
    /// second: it is left as it is then.
    pub fn open(&self, id: &SongId) -> Result<(Journal, Found), JournalError> {
        let path = self.path_of(id);
        std::fs::create_dir_all(&self.folder).map_err(|error| NotWritable(error).of(&self.folder))?;
        let (lock, file, found) = begun(id, &path).map_err(|flaw| flaw.of(&path))?;
        Ok((Journal { path, file, _lock: lock }, found))
    }

    /// Lets go of the oldest where there are more than are kept, and of those only what nobody has written to for over a year:
    /// a clock that was wrong for a while makes a file old, and costs nothing so. `but` stays. What can't be looked at or
    /// removed stays.
    pub fn let_go_of_old(&self, but: &SongId, now: SystemTime) {
        let age = |path: &Path| now.duration_since(path.metadata().ok()?.modified().ok()?).ok();
        let entries = std::fs::read_dir(&self.folder).into_iter().flatten().flatten();
        let journals = entries.map(|entry| entry.path());
        let journals = journals.filter(|path| path.extension().is_some_and(|ending| ending == ENDING));
        let mut aged: Vec<(Duration, PathBuf)> =
            journals.map(|path| (age(&path).unwrap_or_default(), path)).collect();
        aged.sort();
        let kept = self.path_of(but);
        for (age, path) in aged.into_iter().skip(KEPT_MOST) {
            if age > OLD && path != kept {
                let _ = std::fs::remove_file(path.with_extension(LOCK_ENDING));
                let _ = std::fs::remove_file(path);
            }
        }
    }
}

impl Journal {
    /// Writes a line at its end. When this returns, it is there.
    ///
    /// # Errors
    ///
    /// When it can't be written: nothing of it stays then.
    pub fn write(&mut self, line: &Line, sure: Sure) -> Result<(), JournalError> {
        let writing = |error| NotWritable(error).of(&self.path);
        let before = self.file.metadata().map_err(writing)?.len();
        let bytes = written(line);
        let done = self.file.write_all(&bytes).and_then(|()| match sure {
            Sure::OfTheHost => Ok(()),
            Sure::OfTheMachine => self.file.sync_data(),
        });
        done.map_err(|error| {
            // Half a line would be cut off at the next opening; where nobody else has written meanwhile, it is now.
            let is_ours = |now: u64| now <= before + bytes.len() as u64;
            if self.file.metadata().is_ok_and(|metadata| is_ours(metadata.len())) {
                let _ = self.file.set_len(before);
            }
            writing(error)
        })
    }
}

/// The lock, the journal ready to be written to, and what was found in it.
fn begun(id: &SongId, path: &Path) -> Result<(File, File, Found), Flaw> {
    let lock = opened(&path.with_extension(LOCK_ENDING)).map_err(NotWritable)?;
    // It is put in order only by one who has it alone. Where a file system knows no locks, it just grows.
    let mut cut_bytes = 0;
    if lock.try_lock().is_ok() {
        cut_bytes = put_in_order(id, path)?;
        let _ = lock.unlock();
    }
    share(&lock).map_err(NotWritable)?;
    let mut file = opened(path).map_err(NotWritable)?;
    let text = read(&mut file)?;
    let (mut found, sound_bytes) = understood(id, &text)?;
    found.cut_bytes += cut_bytes;
    if sound_bytes == 0 {
        file.set_len(0).and_then(|()| file.write_all(&header())).map_err(NotWritable)?;
    } else if !text.ends_with(b"\n") {
        file.write_all(b"\n").map_err(NotWritable)?;
    }
    Ok((lock, file, found))
}

fn opened(path: &Path) -> std::io::Result<File> {
    OpenOptions::new().read(true).append(true).create(true).open(path)
}

/// Shares a lock with whoever has the journal open, once nobody has it alone. Where the file system knows no locks, at once.
fn share(lock: &File) -> std::io::Result<()> {
    for _ in 0..WAITS {
        match lock.try_lock_shared() {
            Ok(()) | Err(TryLockError::Error(_)) => return Ok(()),
            Err(TryLockError::WouldBlock) => sleep(WAIT),
        }
    }
    Err(std::io::ErrorKind::ResourceBusy.into())
}

/// Cuts a torn last line off, and writes what has grown anew: the page alone, in a file that takes the old one's place whole
/// or not at all. Gives how many bytes were cut off.
fn put_in_order(id: &SongId, path: &Path) -> Result<u64, Flaw> {
    let mut file = opened(path).map_err(NotWritable)?;
    let text = read(&mut file)?;
    let (found, sound_bytes) = understood(id, &text)?;
    if found.cut_bytes > 0 {
        file.set_len(sound_bytes).map_err(NotWritable)?;
    }
    let anew = whole(&found.page);
    if sound_bytes > GROWN_BYTES && found.unreadable == 0 && (anew.len() as u64) < sound_bytes {
        write_whole(path, &anew, Replace::WhatIsThere).map_err(NotWritable)?;
    }
    Ok(found.cut_bytes)
}

/// The first line, as it is written.
fn header() -> Vec<u8> {
    format!("{{\"candlemark_journal\":{FORMAT}}}\n").into_bytes()
}

/// A page as it is written where there is nothing but the page.
fn whole(page: &SongPage) -> Vec<u8> {
    let lines = page.lines().iter().flat_map(written);
    header().into_iter().chain(lines).collect()
}

/// A line as it is written: JSON has no line ends of its own.
fn written(line: &Line) -> Vec<u8> {
    let mut bytes = serde_json::to_vec(line).unwrap_or_default();
    bytes.push(b'\n');
    bytes
}

fn read(file: &mut File) -> Result<Vec<u8>, Flaw> {
    let mut text = Vec::new();
    file.rewind().map_err(NotReadable)?;
    file.take(MOST_BYTES + 1).read_to_end(&mut text).map_err(NotReadable)?;
    if text.len() as u64 > MOST_BYTES { Err(Flaw::TooLarge) } else { Ok(text) }
}

/// What a journal's text says, and how many of its bytes are whole lines.
fn understood(id: &SongId, text: &[u8]) -> Result<(Found, u64), Flaw> {
    let mut found = Found { page: SongPage::new(id.clone()), cut_bytes: 0, unreadable: 0 };
    let mut sound_bytes = 0;
    for (index, row) in text.split_inclusive(|byte| *byte == b'\n').enumerate() {
        let is_whole = row.ends_with(b"\n");
        if index == 0 {
            match serde_json::from_slice::<Header>(row) {
                Ok(Header { candlemark_journal: FORMAT }) => {}
                Ok(_) => return Err(Flaw::Newer),
                Err(_) if is_whole => return Err(Flaw::Foreign),
                Err(_) => {
                    found.cut_bytes = row.len() as u64;
                    break;
                }
            }
        } else {
            match serde_json::from_slice::<Line>(row) {
                Ok(line) => found.page.take(line),
                Err(_) if is_whole => found.unreadable += 1,
                Err(_) => {
                    found.cut_bytes = row.len() as u64;
                    break;
                }
            }
        }
        sound_bytes += row.len() as u64;
    }
    Ok((found, sound_bytes))
}

#[cfg(test)]
mod tests;
