//! Delivery profiles by their names: those of standards bodies, which come with the program, and the person's own.

use std::fs::File;
use std::io::Read as _;
use std::path::{Path, PathBuf};

use candlemark_session::delivery::Profile;

use crate::delivery_fault::DeliveryFault;
use crate::delivery_toml::{FORMAT, delivery_of_toml};
use crate::error::FileError;
use crate::home;
use crate::yardstick_name::{check_name, is_same_name};
use crate::yardstick_toml::line_of;

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
/// Ending of a profile's file.
const ENDING: &str = "toml";
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
        let fault = |source| FileError::Delivery { path: PathBuf::from(name), source };
        let profile = delivery_of_toml(name, text).map_err(fault);
        Self { name: name.to_owned(), path: None, text: text.to_owned(), profile }
    }

    fn at(path: &Path) -> Self {
        let name = path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
        let (text, profile) = match text_of(path) {
            Ok(text) => {
                let fault = |source| FileError::Delivery { path: path.to_owned(), source };
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
        let mut all: Vec<Self> = own_files()?.iter().map(|path| Self::at(path)).collect();
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
            let own = own_files()?
                .into_iter()
                .find(|own| own.file_stem().is_some_and(|stem| is_same_name(&stem.to_string_lossy(), asked)));
            let published = PUBLISHED.iter().find(|(name, _)| is_same_name(name, asked));
            match (own, published) {
                // Whose limits hold must never be in doubt.
                (Some(path), Some((name, _))) => {
                    return Err(FileError::DeliveryTwice { path, name: (*name).to_owned() });
                }
                (Some(path), None) => return Ok(Self::at(&path)),
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

/// The person's own files, sorted by name. None when the folder does not exist.
fn own_files() -> Result<Vec<PathBuf>, FileError> {
    let folder = home::of_user()?.join(FOLDER);
    let reading = |error| FileError::of_reading(&folder, error);
    let entries = match std::fs::read_dir(&folder) {
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(Vec::new()),
        entries => entries.map_err(reading)?,
    };
    let mut files = Vec::new();
    for entry in entries {
        let path = entry.map_err(reading)?.path();
        if path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case(ENDING)) {
            files.push(path);
        }
    }
    files.sort();
    Ok(files)
}

fn text_of(path: &Path) -> Result<String, FileError> {
    let reading = |error| FileError::of_reading(path, error);
    let fault = |source| FileError::Delivery { path: path.to_owned(), source };
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
        return Err(fault(DeliveryFault::TooLarge { bytes: metadata.len() }));
    }
    String::from_utf8(bytes).map_err(|error| {
        let text =
            String::from_utf8_lossy(&error.as_bytes()[..error.utf8_error().valid_up_to()]).into_owned();
        fault(if text.contains(FORMAT) {
            let line = Some(line_of(&text, text.len()));
            DeliveryFault::Damaged { line, what: "there is something that is not text".to_owned() }
        } else {
            DeliveryFault::Foreign
        })
    })
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
