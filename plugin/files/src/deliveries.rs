//! Delivery profiles by their names: those of standards bodies, which come with the program, and the person's own.

use std::path::{Path, PathBuf};

use candlemark_session::delivery::Profile;

use crate::delivery_toml::{FORMAT, delivery_of_toml};
use crate::error::FileError;
use crate::home;
use crate::small_text::{files_in, text_of};
use crate::yardstick_name::{check_name, is_same_name};

/// The profiles of standards bodies, by name, as text.
const PUBLISHED: [(&str, &str); 11] = [
    ("aes-td1004", include_str!("../deliveries/aes-td1004.toml")),
    ("aes-td1008-album", include_str!("../deliveries/aes-td1008-album.toml")),
    ("aes-td1008-music", include_str!("../deliveries/aes-td1008-music.toml")),
    ("aes-td1008-speech", include_str!("../deliveries/aes-td1008-speech.toml")),
    ("arib-tr-b32", include_str!("../deliveries/arib-tr-b32.toml")),
    ("atsc-a85", include_str!("../deliveries/atsc-a85.toml")),
    ("ebu-r128", include_str!("../deliveries/ebu-r128.toml")),
    ("ebu-r128-live", include_str!("../deliveries/ebu-r128-live.toml")),
    ("ebu-r128-s1", include_str!("../deliveries/ebu-r128-s1.toml")),
    ("ebu-r128-s2", include_str!("../deliveries/ebu-r128-s2.toml")),
    ("ebu-tech-3344", include_str!("../deliveries/ebu-tech-3344.toml")),
];

/// Folder of the person's own, in their data folder.
const FOLDER: &str = "deliveries";
/// A profile that asks for everything takes under 4 KB.
const MOST_BYTES: u64 = 1 << 20;

/// A delivery profile that can be asked for by its name.
#[derive(Debug)]
pub struct Delivery {
    /// The name.
    pub name: String,
    /// The person's own file. `None` for one that comes with the program.
    pub path: Option<PathBuf>,
    /// Its text, as it was written. Empty where it can't be read.
    pub text: String,
    /// What it asks for.
    pub profile: Result<Profile, FileError>,
}

impl Delivery {
    fn published(name: &str, text: &str) -> Self {
        let fault = |source| FileError::Text { path: PathBuf::from(name), source };
        let profile = delivery_of_toml(name, text).map_err(fault);
        Self { name: name.to_owned(), path: None, text: text.to_owned(), profile }
    }

    fn at(path: &Path) -> Self {
        let name = path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
        let fault = |source| FileError::Text { path: path.to_owned(), source };
        let (text, profile) = match text_of(path, &FORMAT, MOST_BYTES) {
            Ok(text) => {
                let profile = delivery_of_toml(&name, &text).map_err(fault);
                (text, profile)
            }
            Err(error) => (String::new(), Err(error)),
        };
        Self { name, path: Some(path.to_owned()), text, profile }
    }

    /// All that can be asked for by name: the person's own, and then those of standards bodies.
    ///
    /// # Errors
    ///
    /// When the person's folder can't be read. A file in it that can't be used is told beside its name.
    pub fn all() -> Result<Vec<Self>, FileError> {
        let mut all: Vec<Self> = own_files()?.iter().map(|(_, path)| Self::at(path)).collect();
        all.extend(PUBLISHED.iter().map(|(name, text)| Self::published(name, text)));
        Ok(all)
    }

    /// The profile of this name, or in this file. What names a folder is a path; a bare name is sought in the person's
    /// own, among the standards bodies', and then where the command runs.
    ///
    /// # Errors
    ///
    /// When there is none, there are two of one name, or its file can't be used.
    pub fn find(asked: &str) -> Result<Self, FileError> {
        let path = Path::new(asked);
        if path.components().count() > 1 {
            return Ok(Self::at(path));
        }
        if check_name(asked).is_ok() {
            let own = own_files()?.into_iter().find(|(name, _)| is_same_name(name, asked));
            let published = PUBLISHED.iter().find(|(name, _)| is_same_name(name, asked));
            match (own, published) {
                // Whose limits hold must never be in doubt.
                (Some((_, path)), Some((name, _))) => {
                    return Err(FileError::DeliveryTwice { path, name: (*name).to_owned() });
                }
                (Some((_, path)), None) => return Ok(Self::at(&path)),
                (None, Some((name, text))) => return Ok(Self::published(name, text)),
                (None, None) => {}
            }
        }
        if path.exists() {
            return Ok(Self::at(path));
        }
        Err(FileError::NoDelivery { name: asked.to_owned(), folder: home::of_user()?.join(FOLDER) })
    }
}

/// The person's own files with their names, sorted by name. None when the folder does not exist.
fn own_files() -> Result<Vec<(String, PathBuf)>, FileError> {
    files_in(&home::of_user()?.join(FOLDER))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_published_profile_can_be_used_and_says_where_it_is_from() {
        for (name, text) in PUBLISHED {
            let profile = Delivery::published(name, text).profile.unwrap();
            assert_eq!(profile.name, name);
            assert!(!profile.source.is_empty(), "{name}");
            assert!(check_name(name).is_ok());
        }
        assert!(PUBLISHED.is_sorted_by_key(|(name, _)| *name));
    }
}
