//! The song strip: short-term loudness by song position, for whoever draws it.

use candlemark_analysis::{Cell, Channels, Hertz, Lufs};
use serde::{Deserialize, Serialize};

use crate::song_cells::{SongCells, key_of};
use crate::stretches::{Sound, follows};

/// The window of short-term loudness, in seconds: EBU Tech 3341 v4 (2023) sec. 2.2.
pub(crate) const SHORT_TERM_S: f64 = 3.0;

/// So much of a song whose positions are times is shown, in seconds (ours).
pub(crate) const LATEST_S: f64 = 600.0;

/// One point of the strip: the 3 s of the song that end at a cell's end.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct StripPoint {
    /// Song position of the cell's end, in seconds.
    pub song_s: f64,
    /// Length of the cell, in seconds: where the next point lies further on, nothing was heard between.
    pub cell_s: f64,
    /// Short-term loudness of the latest pass. `None` in silence.
    #[serde(rename = "latest_lufs")]
    pub latest: Option<Lufs>,
    /// The same folded to mono and played from both speakers. `None` in silence and where nothing is left.
    #[serde(rename = "mono_lufs")]
    pub mono: Option<Lufs>,
    /// Short-term loudness of the pass before, over as much of the 3 s as it has filled. `None` where there was none,
    /// and in silence.
    #[serde(rename = "before_lufs")]
    pub before: Option<Lufs>,
    /// True peak of the cell was above 0 dBTP.
    pub over: bool,
    /// What was heard last here is aside: it is not the song as it stands.
    pub aside: bool,
}

/// The points of a song, by position. Work grows with the song's length.
pub(crate) fn points(cells: &SongCells, channels: Channels, rate: Hertz) -> Vec<StripPoint> {
    let filled = cells.filled();
    let mut points: Vec<StripPoint> = Vec::with_capacity(filled.len());
    // A point for every cell, with as much before it as there is.
    for row in filled.chunk_by(|a, b| follows(key_of(a), key_of(b))) {
        for (end, cell) in row.iter().enumerate() {
            let (sound, before_power) = last_seconds(cells, &row[..=end], rate);
            let power = sound.weighted.total(channels);
            points.push(StripPoint {
                song_s: cell.place.song_s,
                cell_s: f64::from(cell.frames) / rate.0,
                latest: Lufs::of_power(power),
                mono: Lufs::of_power(power * sound.weighted.fold_kept().unwrap_or(0.0)),
                before: before_power.and_then(Lufs::of_power),
                over: cell.true_peak > 1.0,
                aside: cells.is_aside(key_of(cell)),
            });
        }
    }
    // What is aside where the song has nothing.
    points.extend(cells.asides().filter(|cell| cells.get(key_of(cell)).is_none()).map(|cell| StripPoint {
        song_s: cell.place.song_s,
        cell_s: f64::from(cell.frames) / rate.0,
        latest: None,
        mono: None,
        before: None,
        over: false,
        aside: true,
    }));
    points.sort_by(|a, b| a.song_s.total_cmp(&b.song_s));
    points
}

/// Mean powers of the last 3 s of cells in a row, and the K-weighted power of what the pass before filled of them without
/// a break. `None` where it did not fill the last cell.
fn last_seconds(cells: &SongCells, row: &[&Cell], rate: Hertz) -> (Sound, Option<f64>) {
    let mut sound = Sound::default();
    let (mut before_energy, mut before_frames, mut goes_on) = (0.0, 0.0, true);
    for cell in row.iter().rev() {
        sound.add(cell);
        match cells.get(key_of(cell)).and_then(|heard| heard.before_power).filter(|_| goes_on) {
            Some(power) => {
                before_energy += power * f64::from(cell.frames);
                before_frames += f64::from(cell.frames);
            }
            None => goes_on = false,
        }
        if sound.frames >= SHORT_TERM_S * rate.0 - 0.5 {
            break;
        }
    }
    (sound.mean(), (before_frames > 0.0).then(|| before_energy / before_frames))
}

/// Whether the position of a cell is the time since its Analyzer began: the host gives none. A host that counts frames
/// from there as well, and gives no beats, can't be told from it until it stops or jumps.
pub(crate) fn is_by_time(cell: &Cell, rate: Hertz) -> bool {
    /// Positions are kept to a tenth of this, in seconds.
    const ROUNDING_S: f64 = 1e-3;
    let end_s = (cell.start_frame + u64::from(cell.frames)) as f64 / rate.0;
    !cell.by_beats && (cell.place.song_s - end_s).abs() < ROUNDING_S
}

#[cfg(test)]
mod tests;
