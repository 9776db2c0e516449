//! Whether an MPEG audio stream was cut in the middle of a frame.
//!
//! Such a stream has no end of its own: the decoder takes a half frame for the end of the sound. A cut just
//! between two frames can't be told from an end unless the first frame declares how many there are.

use std::io::{Read, Result, Seek, SeekFrom};

use crate::sniff::is_mpeg_sync;

/// Looked at from the file's end. Two of the longest frames (MPEG layer III at 320 kbit/s and 32 kHz is 1441
/// bytes; ADTS can state 8191) and a tag of 128 bytes (ID3v1) fit in.
const LOOKED_AT: u64 = 20_000;

/// Whether, after the last whole packet (whose bytes are `last_packet`), another frame begins that is not all
/// there.
pub(crate) fn is_cut_in_a_frame(file: &mut (impl Read + Seek), last_packet: &[u8]) -> Result<bool> {
    let end = file.seek(SeekFrom::End(0))?;
    file.seek(SeekFrom::Start(end.saturating_sub(LOOKED_AT)))?;
    let mut tail = Vec::new();
    file.take(LOOKED_AT).read_to_end(&mut tail)?;
    // No packet is in no place.
    let mut windows = tail.windows(last_packet.len().max(1));
    let Some(at) = windows.rposition(|window| window == last_packet) else { return Ok(false) };
    let rest = &tail[at + last_packet.len()..];
    Ok(is_mpeg_sync(rest) || rest == [0xff])
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Cursor;

    #[test]
    fn a_half_frame_after_the_last_packet_is_a_cut() {
        let cut = |tail: &[u8]| {
            is_cut_in_a_frame(&mut Cursor::new([b"frames..lastlast", tail].concat()), b"last").unwrap()
        };
        assert!(cut(b"\xff\xfb\x90"));
        assert!(cut(b"\xff"));
        assert!(!cut(b""));
        assert!(!cut(b"TAG and a title"));
        assert!(!cut(b"\0\0\0\0"));
    }
}
