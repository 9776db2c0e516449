//! The edit list of an M4A file: which part of what is decoded is the sound.
//!
//! An AAC encoder puts some frames before the sound and fills up the last packet after it. The edit list
//! says how many (ISO/IEC 14496-12:2022, 8.6.6); the decoder does not read it.

use std::io::{Read, Result, Seek, SeekFrom};
use std::ops::Range;

use crate::bytes_at::bytes_at;

/// Which part of a track is the sound, in units of the track's own time scale.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Edit {
    /// Units before the sound.
    pub(crate) start: u64,
    /// Length of the sound.
    pub(crate) length: u64,
    /// How exact `length` is: it is stored in a coarser unit.
    pub(crate) tolerance: u64,
}

/// More boxes than this in one box, and it is not read on: no file has so many.
const MOST_BOXES: usize = 4096;
/// An edit that shows nothing (ISO/IEC 14496-12:2022, 8.6.6.3, `media_time` −1).
const NOTHING: i64 = -1;

/// Reads the edit of the track with number `track_id`. `None` when there is none, when it is more than
/// "from here on, so long", or when the boxes make no sense: the track is then heard whole.
pub(crate) fn edit_of_track(file: &mut (impl Read + Seek), track_id: u32) -> Result<Option<Edit>> {
    let end = file.seek(SeekFrom::End(0))?;
    let Some(movie) = find(file, 0..end, *b"moov")? else { return Ok(None) };
    let Some(movie_scale) = time_scale(file, movie.clone(), *b"mvhd")? else { return Ok(None) };
    for (name, track) in boxes(file, movie)? {
        if name != *b"trak" || after_dates(file, track.clone(), *b"tkhd")? != Some(track_id) {
            continue;
        }
        let Some(media) = find(file, track.clone(), *b"mdia")? else { return Ok(None) };
        let Some(media_scale) = time_scale(file, media, *b"mdhd")? else { return Ok(None) };
        let Some(edits) = find(file, track, *b"edts")? else { return Ok(None) };
        let Some(list) = find(file, edits, *b"elst")? else { return Ok(None) };
        return Ok(only_edit(file, list)?.map(|(duration, start)| Edit {
            start,
            length: (u128::from(duration) * u128::from(media_scale) / u128::from(movie_scale))
                .try_into()
                .unwrap_or(u64::MAX),
            tolerance: u64::from(media_scale.div_ceil(movie_scale)),
        }));
    }
    Ok(None)
}

/// Duration (in the movie's units) and start (in the track's) of the list's only edit.
fn only_edit(file: &mut (impl Read + Seek), list: Range<u64>) -> Result<Option<(u64, u64)>> {
    let Some([version, _, _, _, a, b, c, d]) = bytes_at(file, &list, 0)? else { return Ok(None) };
    let count = u32::from_be_bytes([a, b, c, d]);
    let mut only = None;
    // One edit that shows nothing may stand before the real one: it delays the track.
    for index in 0..u64::from(count.min(3)) {
        let (duration, start) = if version == 0 {
            let Some(entry) = bytes_at::<8>(file, &list, 8 + 12 * index)? else { return Ok(None) };
            let [a, b, c, d, e, f, g, h] = entry;
            (u64::from(u32::from_be_bytes([a, b, c, d])), i64::from(i32::from_be_bytes([e, f, g, h])))
        } else {
            let at = 8 + 20 * index;
            let Some(duration) = bytes_at(file, &list, at)? else { return Ok(None) };
            let Some(start) = bytes_at(file, &list, at + 8)? else { return Ok(None) };
            (u64::from_be_bytes(duration), i64::from_be_bytes(start))
        };
        match (start, only) {
            (NOTHING, _) => {}
            (0.., None) => only = Some((duration, start as u64)),
            _ => return Ok(None),
        }
    }
    Ok(only.filter(|_| count <= 2))
}

/// Units a second, never 0.
fn time_scale(file: &mut (impl Read + Seek), parent: Range<u64>, header: [u8; 4]) -> Result<Option<u32>> {
    Ok(after_dates(file, parent, header)?.filter(|&scale| scale > 0))
}

/// The field after the two dates that begin the movie's, the track's and the media's header alike: a time scale, or of the track
/// its number.
fn after_dates(file: &mut (impl Read + Seek), parent: Range<u64>, header: [u8; 4]) -> Result<Option<u32>> {
    let Some(header) = find(file, parent, header)? else { return Ok(None) };
    let Some([version]) = bytes_at(file, &header, 0)? else { return Ok(None) };
    let dates = if version == 0 { 2 * 4 } else { 2 * 8 };
    Ok(bytes_at(file, &header, 4 + dates)?.map(u32::from_be_bytes))
}

fn find(file: &mut (impl Read + Seek), parent: Range<u64>, name: [u8; 4]) -> Result<Option<Range<u64>>> {
    Ok(boxes(file, parent)?.into_iter().find(|(found, _)| *found == name).map(|(_, body)| body))
}

/// Names and bodies of the boxes in `parent`.
fn boxes(file: &mut (impl Read + Seek), parent: Range<u64>) -> Result<Vec<([u8; 4], Range<u64>)>> {
    let mut found = Vec::new();
    let mut at = parent.start;
    while found.len() < MOST_BOXES {
        let Some([a, b, c, d, name @ ..]) = bytes_at::<8>(file, &(at..parent.end), 0)? else { break };
        let (body, size) = match u32::from_be_bytes([a, b, c, d]) {
            // To the end of the file.
            0 => (at + 8, parent.end - at),
            1 => match bytes_at(file, &(at..parent.end), 8)? {
                Some(size) => (at + 16, u64::from_be_bytes(size)),
                None => break,
            },
            size => (at + 8, u64::from(size)),
        };
        let Some(end) = at.checked_add(size).filter(|&end| end >= body) else { break };
        found.push((name, body..end.min(parent.end)));
        at = end;
    }
    Ok(found)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Cursor;

    fn boxed(name: [u8; 4], parts: &[&[u8]]) -> Vec<u8> {
        let body = parts.concat();
        let mut whole = (body.len() as u32 + 8).to_be_bytes().to_vec();
        whole.extend_from_slice(&name);
        whole.extend_from_slice(&body);
        whole
    }

    fn header(name: [u8; 4], field: u32) -> Vec<u8> {
        boxed(name, &[&[0; 12], &field.to_be_bytes(), &[0; 8]])
    }

    /// A movie at 1000 units a second with one track, number 1, at 44.1 kHz.
    fn movie(edits: &[(u32, i32)]) -> Cursor<Vec<u8>> {
        let mut list = vec![0; 4];
        list.extend_from_slice(&(edits.len() as u32).to_be_bytes());
        for (duration, start) in edits {
            list.extend_from_slice(&duration.to_be_bytes());
            list.extend_from_slice(&start.to_be_bytes());
            list.extend_from_slice(&0x1_0000_u32.to_be_bytes());
        }
        let track = boxed(
            *b"trak",
            &[
                &header(*b"tkhd", 1),
                &boxed(*b"edts", &[&boxed(*b"elst", &[&list])]),
                &boxed(*b"mdia", &[&header(*b"mdhd", 44_100)]),
            ],
        );
        let whole =
            [boxed(*b"ftyp", &[b"M4A "]), boxed(*b"moov", &[&header(*b"mvhd", 1000), &track])].concat();
        Cursor::new(whole)
    }

    #[test]
    fn one_edit_says_where_the_sound_begins_and_how_long_it_is() {
        let edit = edit_of_track(&mut movie(&[(2000, 1024)]), 1).unwrap();
        assert_eq!(edit, Some(Edit { start: 1024, length: 88_200, tolerance: 45 }));
    }

    #[test]
    fn a_delay_before_it_changes_nothing() {
        let edit = edit_of_track(&mut movie(&[(500, -1), (2000, 2112)]), 1).unwrap();
        assert_eq!(edit.map(|edit| edit.start), Some(2112));
    }

    #[test]
    fn what_is_more_than_one_stretch_is_heard_whole() {
        assert_eq!(edit_of_track(&mut movie(&[(500, 0), (500, 44_100)]), 1).unwrap(), None);
        assert_eq!(edit_of_track(&mut movie(&[]), 1).unwrap(), None);
        assert_eq!(edit_of_track(&mut movie(&[(2000, 1024)]), 2).unwrap(), None);
    }

    #[test]
    fn a_cut_movie_has_no_edit_and_harms_nobody() {
        let whole = movie(&[(2000, 1024)]).into_inner();
        for cut in 0..whole.len() {
            edit_of_track(&mut Cursor::new(&whole[..cut]), 1).unwrap();
        }
    }
}
