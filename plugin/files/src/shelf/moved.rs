//! A yardstick under another name, out to a file of the person's choice, and in from one.

use std::io::ErrorKind;
use std::path::{Path, PathBuf};

use candlemark_session::yardstick::{Record, Yardstick};

use super::{Shelf, load_path, write};
use crate::error::FileError;
use crate::written::{Replace, sync_folder};
use crate::yardstick_name::{check_name, is_same_name};
use crate::yardstick_toml::check;

impl Shelf {
    /// Calls the yardstick `old` by the name `new` from now on, and says what it was called and where it is. It is there
    /// under one name or the other at every moment; a crash may leave it under both.
    ///
    /// # Errors
    ///
    /// When there is no `old`, or its file can't be used, when `new` can't be a name, when another yardstick has it (in
    /// small or capital letters), or it can't be written. It is left as it was then.
    pub fn rename(&self, old: &str, new: &str) -> Result<(String, PathBuf), FileError> {
        check_name(new)?;
        let (old_name, old_path) = self.find(old)?;
        let others = self.files()?.into_iter().filter(|(_, path)| *path != old_path);
        if let Some((name, path)) = others.into_iter().find(|(name, _)| is_same_name(name, new)) {
            return Err(FileError::YardstickExists { name, path });
        }
        let yardstick = Yardstick { name: new.to_owned(), ..load_path(&old_path)? };
        let new_path = self.path_of(new);
        if is_same_name(&old_name, new) {
            // Some file systems hold both names for one file: so it is renamed, not written beside itself.
            write(&yardstick, &old_path, Replace::WhatIsThere).map_err(FileError::of_writing(&old_path))?;
            std::fs::rename(&old_path, &new_path).map_err(FileError::of_writing(&new_path))?;
        } else {
            self.save(&yardstick)?;
            std::fs::remove_file(&old_path).map_err(FileError::of_writing(&old_path))?;
        }
        sync_folder(self.folder()).map_err(FileError::of_writing(&new_path))?;
        Ok((old_name, new_path))
    }

    /// Writes the yardstick `name` to `to`, or into that folder as `NAME.toml`, and says where it is. With `force` it takes
    /// the place of another yardstick there; never that of anything else.
    ///
    /// # Errors
    ///
    /// When there is no such yardstick or its file can't be used, when there is something at `to`, or it can't be written.
    pub fn export(&self, name: &str, to: &Path, force: bool) -> Result<PathBuf, FileError> {
        let (name, from) = self.find(name)?;
        let yardstick = Yardstick { name, ..load_path(&from)? };
        let path = if to.is_dir() { to.join(from.file_name().unwrap_or_default()) } else { to.to_owned() };
        let replace = if force { may_replace(&path)? } else { Replace::Nothing };
        match write(&yardstick, &path, replace) {
            Err(error) if error.kind() == ErrorKind::AlreadyExists => Err(FileError::Exists { path }),
            Err(error) => Err(FileError::of_writing(&path)(error)),
            Ok(()) => Ok(path),
        }
    }

    /// Puts the yardstick in the file `from` on the shelf, as `name` or else by its own, and gives it with where it is. With
    /// `force` it takes the place of the yardstick of that name. The file is left as it is.
    ///
    /// # Errors
    ///
    /// When the file is not a whole yardstick of a known version, or what [`Shelf::save`] refuses.
    pub fn import(
        &self,
        from: &Path,
        name: Option<&str>,
        force: bool,
    ) -> Result<(Yardstick, PathBuf), FileError> {
        let mut yardstick = load_path(from)?;
        if let Some(name) = name {
            name.clone_into(&mut yardstick.name);
        }
        let there = match self.check_free(&yardstick.name) {
            Err(FileError::YardstickExists { path, .. }) if force => Some(path),
            free => free.map(|()| None)?,
        };
        let path = match there {
            None => self.save(&yardstick)?,
            Some(path) => {
                write(&yardstick, &path, may_replace(&path)?).map_err(FileError::of_writing(&path))?;
                // In the letters that were asked for, where only small and capital ones differ.
                let asked = self.path_of(&yardstick.name);
                if path != asked {
                    std::fs::rename(&path, &asked)
                        .and_then(|()| sync_folder(self.folder()))
                        .map_err(FileError::of_writing(&asked))?;
                }
                asked
            }
        };
        Ok((yardstick, path))
    }

    /// Adds a record to the yardstick `name`, and gives it with where it is. A title that is there already gets a number.
    ///
    /// # Errors
    ///
    /// When there is no such yardstick or its file can't be used, one of the record's figures can't be, or it can't be
    /// written. It is left as it was then.
    pub fn add(&self, name: &str, mut record: Record) -> Result<(Yardstick, PathBuf), FileError> {
        let (name, path) = self.find(name)?;
        let mut yardstick = Yardstick { name, ..load_path(&path)? };
        let is_there = |title: &str| yardstick.records.iter().any(|record| record.title == title);
        let mut titles = (2..).map(|number| format!("{} {number}", record.title));
        if is_there(&record.title)
            && let Some(title) = titles.find(|title| !is_there(title))
        {
            record.title = title;
        }
        yardstick.records.push(record);
        check(&yardstick).map_err(|source| FileError::Text { path: path.clone(), source })?;
        write(&yardstick, &path, Replace::WhatIsThere).map_err(FileError::of_writing(&path))?;
        Ok((yardstick, path))
    }
}

/// Whether what is at `path` may be replaced: a yardstick, or nothing at all.
fn may_replace(path: &Path) -> Result<Replace, FileError> {
    match load_path(path) {
        Ok(_) => Ok(Replace::WhatIsThere),
        Err(FileError::Missing { .. }) => Ok(Replace::Nothing),
        Err(source) => Err(FileError::NotReplaced { path: path.to_owned(), source: Box::new(source) }),
    }
}

#[cfg(test)]
mod tests;
