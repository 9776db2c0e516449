//! The shelf: the folder in which a person's yardsticks are kept, one a file.

use std::io::ErrorKind;
use std::path::{Path, PathBuf};

use candlemark_session::yardstick::Yardstick;

use crate::error::FileError;
use crate::home;
use crate::small_text::{ENDING, files_in, text_of};
use crate::written::{Replace, write_whole};
use crate::yardstick_name::{check_name, is_same_name};
use crate::yardstick_toml::{FORMAT, check, from_toml, to_toml};

mod moved;

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
        load_path(&self.find(name)?.1)
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

    /// The file in which a yardstick of this name is kept.
    fn path_of(&self, name: &str) -> PathBuf {
        self.folder.join(format!("{name}.{ENDING}"))
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
        let path = self.path_of(name);
        check(yardstick).map_err(|source| FileError::Text { path: path.clone(), source })?;
        std::fs::create_dir_all(&self.folder).map_err(FileError::of_writing(&path))?;
        match write(yardstick, &path, Replace::Nothing) {
            Err(error) if error.kind() == ErrorKind::AlreadyExists => {
                Err(FileError::YardstickExists { name: name.clone(), path })
            }
            Err(error) => Err(FileError::of_writing(&path)(error)),
            Ok(()) => Ok(path),
        }
    }

    /// Takes the yardstick `name` off the shelf for good, whatever state its file is in, and says which file
    /// it was.
    ///
    /// # Errors
    ///
    /// When there is none, or the system refuses.
    pub fn drop_named(&self, name: &str) -> Result<PathBuf, FileError> {
        let (_, path) = self.find(name)?;
        std::fs::remove_file(&path).map_err(FileError::of_writing(&path))?;
        Ok(path)
    }

    /// The name in full and the file of `name`: of exactly this name, or else of the only one that differs in small and capital
    /// letters alone.
    fn find(&self, name: &str) -> Result<(String, PathBuf), FileError> {
        check_name(name)?;
        let files = self.files()?;
        let mut alike = files.iter().filter(|(there, _)| is_same_name(there, name));
        let found = match (files.iter().find(|(there, _)| there == name), alike.next(), alike.next()) {
            (Some(exact), _, _) => Some(exact),
            (None, Some(only), None) => Some(only),
            _ => None,
        };
        found
            .cloned()
            .ok_or_else(|| FileError::NoYardstick { name: name.to_owned(), folder: self.folder.clone() })
    }

    /// Names and paths of the files on the shelf, sorted by name.
    fn files(&self) -> Result<Vec<(String, PathBuf)>, FileError> {
        files_in(&self.folder)
    }
}

fn write(yardstick: &Yardstick, path: &Path, replace: Replace) -> std::io::Result<()> {
    write_whole(path, to_toml(yardstick).as_bytes(), replace)
}

/// Reads a yardstick from any file.
///
/// # Errors
///
/// When the file can't be read, or is not a whole yardstick of a known version.
pub fn load_path(path: &Path) -> Result<Yardstick, FileError> {
    let text = text_of(path, &FORMAT, MOST_BYTES)?;
    from_toml(&text).map_err(|source| FileError::Text { path: path.to_owned(), source })
}

#[cfg(test)]
mod tests;
