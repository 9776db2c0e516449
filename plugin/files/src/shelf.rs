//! The shelf: the folder in which a person's yardsticks are kept, one a file.

use std::fs::File;
use std::io::{Read, Write};
use std::path::{Path, PathBuf};

use candlemark_session::yardstick::Yardstick;

use crate::error::{FileError, YardstickFault};
use crate::home;
use crate::yardstick_name::{check_name, is_same_name};
use crate::yardstick_toml::{FORMAT, check, from_toml, line_of, to_toml};

/// The folder in which yardsticks are kept, each in a file `NAME.toml`.
///
/// A file that is damaged, foreign or of a later version is told and left as it is; it never hides the
/// others.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Shelf {
    folder: PathBuf,
}

/// One file on the shelf.
#[derive(Debug)]
pub struct ShelfEntry {
    /// The yardstick's name: the file's, without its ending.
    pub name: String,
    /// The file.
    pub path: PathBuf,
    /// What is in it.
    pub yardstick: Result<Yardstick, FileError>,
}

/// Ending of a yardstick's file.
const ENDING: &str = "toml";
/// A yardstick of a hundred records takes some 300 KB.
const MOST_BYTES: u64 = 4 << 20;

impl Shelf {
    /// The user's shelf: `yardsticks` in the folder that `CANDLEMARK_HOME` names; without that,
    /// `candlemark/yardsticks` in the system's folder for a user's data. It need not exist yet.
    ///
    /// # Errors
    ///
    /// When the system does not say where the user's data lives.
    pub fn of_user() -> Result<Self, FileError> {
        Ok(Self::at(home::of_user()?.join("yardsticks")))
    }

    /// The shelf in `folder`, which need not exist yet.
    pub fn at(folder: impl Into<PathBuf>) -> Self {
        Self { folder: folder.into() }
    }

    /// The folder.
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// Every yardstick on the shelf, in the order of their names. Empty when the folder does not exist.
    ///
    /// # Errors
    ///
    /// When the folder itself can't be read.
    pub fn list(&self) -> Result<Vec<ShelfEntry>, FileError> {
        let files = self.files()?;
        Ok(files
            .into_iter()
            .map(|(name, path)| ShelfEntry { yardstick: load_path(&path), name, path })
            .collect())
    }

    /// The yardstick `name`.
    ///
    /// # Errors
    ///
    /// When there is none, or its file can't be used.
    pub fn load(&self, name: &str) -> Result<Yardstick, FileError> {
        load_path(&self.find(name)?)
    }

    /// Whether a yardstick can be kept as `name`, before the work of taking it.
    ///
    /// # Errors
    ///
    /// When it can't be a name, or there is one of that name (in small or capital letters).
    pub fn check_free(&self, name: &str) -> Result<(), FileError> {
        check_name(name)?;
        match self.files()?.into_iter().find(|(there, _)| is_same_name(there, name)) {
            Some((name, path)) => Err(FileError::YardstickExists { name, path }),
            None => Ok(()),
        }
    }

    /// Puts a yardstick on the shelf and says where. It is there whole, or not at all.
    ///
    /// # Errors
    ///
    /// When its name can't be one, there is one of that name (in small or capital letters), one of its figures
    /// can't be, or it can't be written.
    pub fn save(&self, yardstick: &Yardstick) -> Result<PathBuf, FileError> {
        let name = &yardstick.name;
        self.check_free(name)?;
        let path = self.folder.join(format!("{name}.{ENDING}"));
        check(yardstick).map_err(|source| FileError::Yardstick { path: path.clone(), source })?;

        let writing = |source| FileError::NotWritable { path: path.clone(), source };
        std::fs::create_dir_all(&self.folder).map_err(writing)?;
        let mut file = tempfile::Builder::new()
            .prefix(".new-")
            .suffix(".tmp")
            .tempfile_in(&self.folder)
            .map_err(writing)?;
        file.write_all(to_toml(yardstick).as_bytes()).map_err(writing)?;
        file.as_file().sync_all().map_err(writing)?;
        file.persist_noclobber(&path).map_err(|error| match error.error.kind() {
            std::io::ErrorKind::AlreadyExists => {
                FileError::YardstickExists { name: name.clone(), path: path.clone() }
            }
            _ => writing(error.error),
        })?;
        // The new name itself must outlast a power cut; where a folder can't be synced, the system does it.
        #[cfg(unix)]
        File::open(&self.folder).and_then(|folder| folder.sync_all()).map_err(writing)?;
        Ok(path)
    }

    /// Takes the yardstick `name` off the shelf for good, whatever state its file is in, and says which file
    /// it was.
    ///
    /// # Errors
    ///
    /// When there is none, or the system refuses.
    pub fn drop_named(&self, name: &str) -> Result<PathBuf, FileError> {
        let path = self.find(name)?;
        std::fs::remove_file(&path)
            .map_err(|source| FileError::NotWritable { path: path.clone(), source })?;
        Ok(path)
    }

    /// The file of `name`: of exactly this name, or else of the only one that differs in small and capital
    /// letters alone.
    fn find(&self, name: &str) -> Result<PathBuf, FileError> {
        check_name(name)?;
        let files = self.files()?;
        let mut alike = files.iter().filter(|(there, _)| is_same_name(there, name));
        let found = match (files.iter().find(|(there, _)| there == name), alike.next(), alike.next()) {
            (Some(exact), _, _) => Some(exact),
            (None, Some(only), None) => Some(only),
            _ => None,
        };
        found
            .map(|(_, path)| path.clone())
            .ok_or_else(|| FileError::NoYardstick { name: name.to_owned(), folder: self.folder.clone() })
    }

    /// Names and paths of the files on the shelf, sorted by name.
    fn files(&self) -> Result<Vec<(String, PathBuf)>, FileError> {
        let reading = |error| FileError::of_reading(&self.folder, error);
        let entries = match std::fs::read_dir(&self.folder) {
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(Vec::new()),
            entries => entries.map_err(reading)?,
        };
        let mut files = Vec::new();
        for entry in entries {
            let path = entry.map_err(reading)?.path();
            let is_ours = path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case(ENDING));
            if let Some(name) = path.file_stem().map(|stem| stem.to_string_lossy().into_owned())
                && is_ours
                && !name.starts_with('.')
            {
                files.push((name, path));
            }
        }
        files.sort_by_cached_key(|(name, _)| (name.to_lowercase(), name.clone()));
        Ok(files)
    }
}

/// Reads a yardstick from any file.
///
/// # Errors
///
/// When the file can't be read, or is not a whole yardstick of a known version.
pub fn load_path(path: &Path) -> Result<Yardstick, FileError> {
    let reading = |error| FileError::of_reading(path, error);
    let fault = |source| FileError::Yardstick { path: path.to_owned(), source };
    let metadata = std::fs::metadata(path).map_err(reading)?;
    if metadata.is_dir() {
        return Err(FileError::Folder { path: path.to_owned() });
    }
    if !metadata.is_file() {
        return Err(FileError::NotAFile { path: path.to_owned() });
    }
    let mut bytes = Vec::new();
    File::open(path).and_then(|file| file.take(MOST_BYTES + 1).read_to_end(&mut bytes)).map_err(reading)?;
    if bytes.len() as u64 > MOST_BYTES {
        return Err(fault(YardstickFault::TooLarge { bytes: metadata.len() }));
    }
    match std::str::from_utf8(&bytes) {
        Ok(text) => from_toml(text).map_err(fault),
        Err(error) => Err(fault(not_text(&String::from_utf8_lossy(&bytes[..error.valid_up_to()])))),
    }
}

/// The fault of bytes of which only the first are text.
fn not_text(text: &str) -> YardstickFault {
    if text.contains(FORMAT) {
        let line = Some(line_of(text, text.len()));
        YardstickFault::Damaged { line, what: "there is something that is not text".to_owned() }
    } else {
        YardstickFault::Foreign
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::yardstick_toml::samples::yardstick;
    use tempfile::TempDir;

    fn shelf() -> (TempDir, Shelf) {
        let folder = TempDir::new().unwrap();
        let shelf = Shelf::at(folder.path().join("yardsticks"));
        (folder, shelf)
    }

    fn named(name: &str) -> Yardstick {
        Yardstick { name: name.to_owned(), ..yardstick() }
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

    #[test]
    fn a_damaged_one_can_be_dropped() {
        let (_folder, shelf) = shelf();
        shelf.save(&named("folk")).unwrap();
        std::fs::write(shelf.folder().join("folk.toml"), "damaged").unwrap();
        shelf.drop_named("folk").unwrap();
        assert!(shelf.list().unwrap().is_empty());
    }
}
