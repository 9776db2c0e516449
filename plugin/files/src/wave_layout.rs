//! Where the samples lie in a WAV file with 64-bit sizes.

use std::io::{Read, Result, Seek};

use crate::bytes_at::bytes_at;

/// Where the samples of an RF64 or BW64 file lie.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct WaveLayout {
    /// First byte of the samples.
    pub(crate) data_start: u64,
    /// Bytes of samples, as the `ds64` chunk states them.
    pub(crate) data_bytes: u64,
    /// Bytes of one frame.
    pub(crate) frame_bytes: u64,
}

impl WaveLayout {
    /// Frames the header declares.
    pub(crate) fn frames(&self) -> u64 {
        self.data_bytes / self.frame_bytes
    }
}

/// Chunks looked at before the samples must have come.
const MOST_CHUNKS: usize = 4096;
/// A 32-bit size that means: see `ds64` (EBU Tech 3306, 3.5).
const SEE_DS64: u64 = u32::MAX as u64;

/// Reads the layout of an RF64 file (EBU Tech 3306) or BW64 file (ITU-R BS.2088), from its chunks. `None`
/// when the chunks that say it (`ds64`, `fmt `, `data`) are not all there.
pub(crate) fn wave_layout(file: &mut (impl Read + Seek)) -> Result<Option<WaveLayout>> {
    // After "RF64", the unused size, and "WAVE".
    let mut at = 12;
    let mut stated_data_bytes = None;
    let mut frame_bytes = None;
    for _ in 0..MOST_CHUNKS {
        let rest = at..u64::MAX;
        let Some([tag @ .., a, b, c, d]) = bytes_at::<8>(file, &rest, 0)? else { return Ok(None) };
        let bytes = u64::from(u32::from_le_bytes([a, b, c, d]));
        match &tag {
            b"ds64" => {
                // After the size of the whole file.
                let Some(data) = bytes_at(file, &rest, 16)? else { return Ok(None) };
                stated_data_bytes = Some(u64::from_le_bytes(data));
            }
            b"fmt " => {
                let Some(frame) = bytes_at(file, &rest, 20)? else { return Ok(None) };
                frame_bytes = Some(u64::from(u16::from_le_bytes(frame)));
            }
            b"data" => {
                let data_bytes = if bytes == SEE_DS64 { stated_data_bytes } else { Some(bytes) };
                return Ok(match (data_bytes, frame_bytes) {
                    (Some(data_bytes), Some(frame_bytes @ 1..)) => {
                        Some(WaveLayout { data_start: at + 8, data_bytes, frame_bytes })
                    }
                    _ => None,
                });
            }
            _ => {}
        }
        // Chunks begin at even bytes.
        at += 8 + bytes + bytes % 2;
    }
    Ok(None)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Cursor;

    fn rf64(chunks: &[(&[u8; 4], u32, &[u8])]) -> Cursor<Vec<u8>> {
        let mut bytes = b"RF64\xff\xff\xff\xffWAVE".to_vec();
        for (tag, size, body) in chunks {
            bytes.extend_from_slice(*tag);
            bytes.extend_from_slice(&size.to_le_bytes());
            bytes.extend_from_slice(body);
        }
        Cursor::new(bytes)
    }

    #[test]
    fn the_64_bit_size_counts_where_the_32_bit_one_says_so() {
        let mut ds64 = [0; 28];
        ds64[8..16].copy_from_slice(&0x1_0000_0008_u64.to_le_bytes());
        let mut format = [0; 16];
        format[12] = 4;
        let mut file = rf64(&[
            (b"ds64", 28, &ds64),
            (b"odd ", 1, &[0, 0]),
            (b"fmt ", 16, &format),
            (b"data", u32::MAX, &[0; 8]),
        ]);
        let layout = wave_layout(&mut file).unwrap().unwrap();
        assert_eq!(
            layout,
            WaveLayout { data_start: 12 + 36 + 10 + 24 + 8, data_bytes: 0x1_0000_0008, frame_bytes: 4 }
        );
        assert_eq!(layout.frames(), 0x4000_0002);
    }

    #[test]
    fn a_file_without_its_chunks_has_no_layout() {
        assert_eq!(wave_layout(&mut rf64(&[])).unwrap(), None);
        assert_eq!(wave_layout(&mut rf64(&[(b"data", u32::MAX, &[])])).unwrap(), None);
        assert_eq!(wave_layout(&mut rf64(&[(b"fmt ", 16, &[0; 5])])).unwrap(), None);
    }
}
