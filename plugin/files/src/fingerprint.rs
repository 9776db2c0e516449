//! Whether a file is still what was read, and its fingerprint.

use std::fmt::Write as _;
use std::fs::{File, Metadata};
use std::path::Path;
use std::time::SystemTime;

use sha2::{Digest as _, Sha256};

use crate::error::FileError;

/// What changes when a file is written to, as far as the system tells it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Stamp {
    bytes: u64,
    /// `None` where the system does not keep it.
    modified: Option<SystemTime>,
}

impl Stamp {
    /// The stamp of a file now.
    pub(crate) fn of(path: &Path) -> Result<Self, FileError> {
        let metadata = std::fs::metadata(path).map_err(|error| FileError::of_reading(path, error))?;
        Ok(Self::from(&metadata))
    }
}

impl From<&Metadata> for Stamp {
    fn from(metadata: &Metadata) -> Self {
        Self { bytes: metadata.len(), modified: metadata.modified().ok() }
    }
}

/// The SHA-256 (FIPS 180-4) of a file that had this stamp when it was measured, in hexadecimal digits.
pub(crate) fn sha256(path: &Path, measured: Stamp) -> Result<String, FileError> {
    let reading = |error| FileError::of_reading(path, error);
    let mut file = File::open(path).map_err(reading)?;
    let mut digest = Sha256::new();
    std::io::copy(&mut file, &mut digest).map_err(reading)?;
    if Stamp::of(path)? != measured {
        return Err(FileError::Changed { path: path.to_owned() });
    }
    let mut digits = String::new();
    for byte in digest.finalize() {
        let _ = write!(digits, "{byte:02x}");
    }
    Ok(digits)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// FIPS 180-2, appendix B.1: the message "abc".
    #[test]
    fn the_standards_own_message_has_the_standards_own_digest() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("abc");
        std::fs::write(&path, "abc").unwrap();
        let digest = sha256(&path, Stamp::of(&path).unwrap()).unwrap();
        assert_eq!(digest, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    }

    #[test]
    fn a_file_that_was_written_to_is_told() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.wav");
        std::fs::write(&path, "before").unwrap();
        let stamp = Stamp::of(&path).unwrap();
        std::fs::write(&path, "before and after").unwrap();
        assert_eq!(sha256(&path, stamp).unwrap_err().kind(), "changed");
    }
}
