//! Whether a file is still what was read, and its fingerprint.

use std::fs::{File, Metadata};
use std::path::Path;
use std::time::SystemTime;

use sha2::{Digest as _, Sha256};

use crate::error::FileError;

/// What changes when a file is written to, or another takes its place, as far as the system tells it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Stamp {
    bytes: u64,
    /// `None` where the system does not keep it.
    modified: Option<SystemTime>,
    /// Which file of which disk it is: one that takes another's place may be as long, and a copy keeps the time. `None` where
    /// the system does not say.
    which: Option<[u64; 2]>,
}

impl Stamp {
    /// The stamp of a file now.
    pub(crate) fn of(path: &Path) -> Result<Self, FileError> {
        let metadata = std::fs::metadata(path).map_err(|error| FileError::of_reading(path, error))?;
        Ok(Self { bytes: metadata.len(), modified: metadata.modified().ok(), which: which(&metadata) })
    }

    /// # Errors
    ///
    /// When the file at `path` is not any more what had this stamp, or is not there.
    pub(crate) fn hold(self, path: &Path) -> Result<(), FileError> {
        if Self::of(path).ok() == Some(self) {
            Ok(())
        } else {
            Err(FileError::Changed { path: path.to_owned() })
        }
    }
}

#[cfg(unix)]
#[expect(clippy::unnecessary_wraps, reason = "other systems do not say")]
fn which(metadata: &Metadata) -> Option<[u64; 2]> {
    use std::os::unix::fs::MetadataExt as _;
    Some([metadata.dev(), metadata.ino()])
}

#[cfg(not(unix))]
fn which(_metadata: &Metadata) -> Option<[u64; 2]> {
    None
}

/// The SHA-256 (FIPS 180-4) of a file that had this stamp when it was measured, in hexadecimal digits.
pub(crate) fn sha256(path: &Path, measured: Stamp) -> Result<String, FileError> {
    let reading = |error| FileError::of_reading(path, error);
    let mut file = File::open(path).map_err(reading)?;
    let mut digest = Sha256::new();
    std::io::copy(&mut file, &mut digest).map_err(reading)?;
    measured.hold(path)?;
    Ok(format!("{:x}", digest.finalize()))
}

#[cfg(test)]
mod tests {
    #[cfg(unix)]
    use std::time::Duration;

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

    /// As long and as old as what it takes the place of.
    #[cfg(unix)]
    #[test]
    fn another_file_in_its_place_is_told() {
        let folder = tempfile::tempdir().unwrap();
        let [path, other] = ["a.wav", "b.wav"].map(|name| folder.path().join(name));
        let at = SystemTime::UNIX_EPOCH + Duration::from_secs(1_000_000_000);
        for (path, sound) in [(&path, "before"), (&other, "behind")] {
            std::fs::write(path, sound).unwrap();
            File::options().append(true).open(path).unwrap().set_modified(at).unwrap();
        }
        let stamp = Stamp::of(&path).unwrap();
        stamp.hold(&path).unwrap();
        std::fs::rename(&other, &path).unwrap();
        assert_eq!(stamp.hold(&path).unwrap_err().kind(), "changed");
        std::fs::remove_file(&path).unwrap();
        assert_eq!(stamp.hold(&path).unwrap_err().kind(), "changed");
    }
}
