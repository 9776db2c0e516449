//! Bytes of a header, wherever they lie in the file.

use std::io::{Read, Result, Seek, SeekFrom};
use std::ops::Range;

/// `N` bytes at `offset` into `part`; `None` when it ends before.
pub(crate) fn bytes_at<const N: usize>(
    file: &mut (impl Read + Seek),
    part: &Range<u64>,
    offset: u64,
) -> Result<Option<[u8; N]>> {
    let at = part.start.saturating_add(offset);
    if at.saturating_add(N as u64) > part.end {
        return Ok(None);
    }
    file.seek(SeekFrom::Start(at))?;
    let mut bytes = [0; N];
    match file.read_exact(&mut bytes) {
        Ok(()) => Ok(Some(bytes)),
        Err(error) if error.kind() == std::io::ErrorKind::UnexpectedEof => Ok(None),
        Err(error) => Err(error),
    }
}
