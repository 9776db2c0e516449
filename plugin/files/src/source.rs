//! A file as the decoder sees it.

use std::fs::File;
use std::io::{Read, Result, Seek, SeekFrom};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

use symphonia::core::io::MediaSource;

/// The first bytes of a RIFF file that is being streamed: its size is not known.
pub(crate) const RIFF_OF_UNKNOWN_SIZE: [u8; 8] = *b"RIFF\xff\xff\xff\xff";
/// The same of an AIFF file.
pub(crate) const FORM_OF_UNKNOWN_SIZE: [u8; 8] = *b"FORM\xff\xff\xff\xff";

/// A file, shown to the decoder with what its header gets wrong put right.
///
/// The size that a RIFF or FORM header states is often wrong in files that were not closed properly, while
/// everything else in them is sound: it is shown as unknown. So is the 64-bit variant's, which otherwise is
/// the same format.
pub(crate) struct Source {
    file: File,
    /// Position of the next byte read.
    at: u64,
    /// Bytes shown; never more than the file has.
    len: u64,
    seekable: bool,
    beginning: Option<[u8; 8]>,
    progress: Arc<AtomicU64>,
}

impl Source {
    /// Shows the file as it is. `progress` is kept at the position of the last byte read.
    pub(crate) fn new(mut file: File, progress: Arc<AtomicU64>) -> Result<Self> {
        let len = file.seek(SeekFrom::End(0))?;
        file.rewind()?;
        Ok(Self { file, at: 0, len, seekable: true, beginning: None, progress })
    }

    /// Shows other first bytes.
    pub(crate) fn beginning_with(mut self, beginning: [u8; 8]) -> Self {
        self.beginning = Some(beginning);
        self
    }

    /// Shows nothing past byte `end`.
    pub(crate) fn ending_at(mut self, end: u64) -> Self {
        self.len = self.len.min(end);
        self
    }

    /// Shows a stream that can only be read forwards: the decoder then begins with the sound as soon as it
    /// finds it, and does not look for what should come after.
    pub(crate) fn forwards_only(mut self) -> Self {
        self.seekable = false;
        self
    }
}

impl Read for Source {
    fn read(&mut self, buffer: &mut [u8]) -> Result<usize> {
        let room = usize::try_from(self.len.saturating_sub(self.at)).unwrap_or(usize::MAX).min(buffer.len());
        let count = self.file.read(&mut buffer[..room])?;
        if let Some(beginning) = &self.beginning
            && self.at < beginning.len() as u64
        {
            let rest = &beginning[self.at as usize..];
            let overlap = rest.len().min(count);
            buffer[..overlap].copy_from_slice(&rest[..overlap]);
        }
        self.at += count as u64;
        self.progress.store(self.at, Ordering::Relaxed);
        Ok(count)
    }
}

impl Seek for Source {
    fn seek(&mut self, to: SeekFrom) -> Result<u64> {
        let to = match to {
            SeekFrom::End(offset) => {
                let at = self.len.checked_add_signed(offset).ok_or(std::io::ErrorKind::InvalidInput)?;
                SeekFrom::Start(at)
            }
            other => other,
        };
        self.at = self.file.seek(to)?;
        Ok(self.at)
    }
}

impl MediaSource for Source {
    fn is_seekable(&self) -> bool {
        self.seekable
    }

    fn byte_len(&self) -> Option<u64> {
        self.seekable.then_some(self.len)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Write as _;

    fn file(bytes: &[u8]) -> File {
        let mut file = tempfile::tempfile().unwrap();
        file.write_all(bytes).unwrap();
        file
    }

    #[test]
    fn other_first_bytes_are_shown_however_the_reads_are_split() {
        for step in [1, 3, 8, 64] {
            let source = Source::new(file(b"RF64....WAVE and on"), Arc::default()).unwrap();
            let mut source = source.beginning_with(RIFF_OF_UNKNOWN_SIZE).ending_at(16);
            let mut seen = Vec::new();
            let mut buffer = vec![0; step];
            loop {
                let count = source.read(&mut buffer).unwrap();
                if count == 0 {
                    break;
                }
                seen.extend_from_slice(&buffer[..count]);
            }
            assert_eq!(seen, b"RIFF\xff\xff\xff\xffWAVE and", "in steps of {step}");
        }
    }

    #[test]
    fn the_end_is_where_the_shown_part_ends() {
        let source = Source::new(file(b"0123456789"), Arc::default()).unwrap();
        let mut source = source.ending_at(6);
        assert_eq!(source.seek(SeekFrom::End(-2)).unwrap(), 4);
        let mut rest = Vec::new();
        source.read_to_end(&mut rest).unwrap();
        assert_eq!(rest, b"45");
        assert_eq!(source.byte_len(), Some(6));
    }
}
