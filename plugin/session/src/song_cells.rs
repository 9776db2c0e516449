//! The song as it stands: the latest eligible pass of every cell, and what is aside of it.

use std::collections::BTreeMap;

use candlemark_analysis::{BandPower, Cell, Db, Hertz};

use crate::statistics::median;
use crate::stretches::{Stretches, follows};

/// Where a cell lies in the song: whether it is counted in pairs of quarter notes, and its number.
pub(crate) type CellKey = (bool, i64);

/// Where a cell lies.
pub(crate) fn key_of(cell: &Cell) -> CellKey {
    (cell.by_beats, cell.index)
}

/// A pass whose loudness in a cell differs by more than this from the pass before is another sound: a solo, a
/// record (common practice, no source).
const LOUDNESS_APART_DB: f64 = 6.0;
/// A band that differs by more than this differs (common practice, no source).
const BAND_APART_DB: f64 = 9.0;
/// This share of differing bands makes another sound.
const BANDS_APART: f64 = 1.0 / 3.0;
/// When bands moved by the same to within this, a fader was moved; so many of them must have, for in a single cell
/// the lowest bands are told by a window or two, and differ from pass to pass by themselves (ours).
const ALIKE_DB: f64 = 1.5;
const BANDS_ALIKE: f64 = 2.0 / 3.0;
/// Bands further than this under a sound's loudest band tell nothing (common practice, no source).
const BAND_FLOOR_DB: f64 = 50.0;

/// Cells that are held at most: four hours of seconds (ours). Where a host gives no position no cell ever comes again, and
/// a plugin may stay open for days.
pub(crate) const MOST_CELLS: usize = 4 * 3600;

/// One cell of the song.
#[derive(Clone, Debug)]
pub(crate) struct SongCell {
    /// The latest eligible pass of it.
    pub(crate) cell: Cell,
    /// K-weighted power of the eligible pass before.
    pub(crate) before_power: Option<f64>,
}

/// The cells of one song.
#[derive(Default)]
pub(crate) struct SongCells {
    song: BTreeMap<CellKey, SongCell>,
    /// What was heard last where it is aside of the song.
    aside: BTreeMap<CellKey, Cell>,
    /// The person says that what sounds is aside.
    told_aside: bool,
}

impl SongCells {
    /// Takes in a cell as it was heard. Gives whether it is the song's.
    pub(crate) fn take(&mut self, cell: &Cell) -> bool {
        let key = key_of(cell);
        let is_another = self.song.get(&key).is_some_and(|known| is_another_sound(&known.cell, cell));
        let is_aside = self.told_aside || is_another;
        if is_aside {
            self.aside.insert(key, *cell);
            return false;
        }
        self.aside.remove(&key);
        self.put(cell);
        true
    }

    fn put(&mut self, cell: &Cell) {
        let key = key_of(cell);
        let before_power = self.song.get(&key).map(|known| known.cell.loudness_power());
        self.song.insert(key, SongCell { cell: *cell, before_power });
    }

    /// Lets go of the first cells where there are more than are held. Gives the place that is the first then, where any
    /// was let go.
    pub(crate) fn let_go(&mut self) -> Option<CellKey> {
        let is_full = self.song.len() > MOST_CELLS;
        while self.song.len() > MOST_CELLS {
            self.song.pop_first();
        }
        while self.aside.len() > MOST_CELLS {
            self.aside.pop_first();
        }
        let first = *self.song.first_key_value().filter(|_| is_full)?.0;
        self.aside = self.aside.split_off(&first);
        Some(first)
    }

    /// Says that what sounds from now on is aside, or no longer.
    pub(crate) fn tell_aside(&mut self, is_aside: bool) {
        self.told_aside = is_aside;
    }

    /// Whether the person has said so.
    pub(crate) fn is_told_aside(&self) -> bool {
        self.told_aside
    }

    /// Makes what was heard last, and lies aside, the song: a real change. Gives the cells that became it.
    pub(crate) fn keep_aside(&mut self) -> Vec<Cell> {
        let kept: Vec<Cell> = std::mem::take(&mut self.aside).into_values().collect();
        for cell in &kept {
            self.put(cell);
        }
        kept
    }

    /// Whether the cell heard last at this place is aside.
    pub(crate) fn is_aside(&self, key: CellKey) -> bool {
        self.aside.contains_key(&key)
    }

    /// What lies aside, by place.
    pub(crate) fn asides(&self) -> impl Iterator<Item = &Cell> {
        self.aside.values()
    }

    /// The song's cells, by place.
    pub(crate) fn cells(&self) -> impl Iterator<Item = &SongCell> {
        self.song.values()
    }

    /// Those that are filled.
    pub(crate) fn filled(&self) -> Vec<&Cell> {
        self.cells().map(|heard| &heard.cell).filter(|cell| cell.is_filled()).collect()
    }

    /// The cell at a place.
    pub(crate) fn get(&self, key: CellKey) -> Option<&SongCell> {
        self.song.get(&key)
    }

    /// The stretches of at least `seconds` that end with each filled cell, each of cells that follow one
    /// another.
    pub(crate) fn stretches(&self, seconds: f64, rate: Hertz) -> Stretches<'_> {
        let wanted = seconds * rate.0 - 0.5;
        let cells = self.filled();
        let mut spans = Vec::new();
        let (mut first, mut frames) = (0, 0.0);
        for end in 0..cells.len() {
            if end > 0 && !follows(key_of(cells[end - 1]), key_of(cells[end])) {
                (first, frames) = (end, 0.0);
            }
            frames += f64::from(cells[end].frames);
            while first < end && frames - f64::from(cells[first].frames) >= wanted {
                frames -= f64::from(cells[first].frames);
                first += 1;
            }
            if frames >= wanted {
                spans.push(first..=end);
            }
        }
        Stretches { cells, spans }
    }
}

/// Whether what was heard in a cell is another sound than the song's there.
fn is_another_sound(song: &Cell, heard: &Cell) -> bool {
    let apart = match (song.loudness_power() > 0.0, heard.loudness_power() > 0.0) {
        (true, true) => level_apart(song.loudness_power(), heard.loudness_power()),
        (false, false) => return false,
        _ => return true,
    };
    let mut moved: Vec<f64> = heard_bands(song)
        .zip(heard_bands(heard))
        .filter(|(song, heard)| !song.is_floor || !heard.is_floor)
        .map(|(song, heard)| level_apart(song.power, heard.power))
        .collect();
    let Some(middle_db) = median(&mut moved) else { return false };
    let alike = moved.iter().filter(|db| (*db - middle_db).abs() <= ALIKE_DB).count();
    if alike as f64 >= BANDS_ALIKE * moved.len() as f64 {
        return false;
    }
    let bands_apart = moved.iter().filter(|db| db.abs() > BAND_APART_DB).count();
    apart.abs() > LOUDNESS_APART_DB || bands_apart as f64 >= BANDS_APART * moved.len() as f64
}

/// A band of a cell, or the floor where it lies further under the loudest than is heard.
struct HeardBand {
    power: f64,
    is_floor: bool,
}

/// The bands of a cell over its own floor, so that a fader moves both alike.
fn heard_bands(cell: &Cell) -> impl Iterator<Item = HeardBand> {
    let total = |band: BandPower| f64::from(band.left) + f64::from(band.right);
    let loudest = cell.bands.iter().map(|band| total(*band)).fold(0.0, f64::max);
    let floor = loudest * 10f64.powf(-BAND_FLOOR_DB / 10.0);
    cell.bands.iter().map(move |band| {
        let power = total(*band);
        HeardBand { power: power.max(floor), is_floor: power <= floor }
    })
}

fn level_apart(song: f64, heard: f64) -> f64 {
    Db::of_power(heard / song).map_or(0.0, |db| db.0)
}

#[cfg(test)]
mod tests {
    use candlemark_analysis::{Place, Power};

    use super::*;
    use crate::a_cell::a_cell;

    /// A cell whose bands have these levels in dB, from low to high, over and over.
    fn cell(index: i64, pass: u32, levels_db: &[f64]) -> Cell {
        let cell = a_cell(index, |band| levels_db[band % levels_db.len()]);
        Cell { place: Place { pass, ..Place::default() }, ..cell }
    }

    #[test]
    fn the_latest_pass_stands_for_a_cell() {
        let mut cells = SongCells::default();
        assert!(cells.take(&cell(4, 1, &[-30.0, -40.0])));
        assert!(cells.take(&cell(4, 2, &[-31.0, -39.0])));
        assert_eq!(cells.get((true, 4)).unwrap().cell.place.pass, 2);
        assert_eq!(cells.cells().count(), 1);
    }

    #[test]
    fn a_solo_and_a_record_are_aside_and_a_fader_is_not() {
        let song = [-30.0, -40.0, -35.0];
        for (what, heard, is_song) in [
            ("a fader, 10 dB down", [-40.0, -50.0, -45.0], true),
            ("an equaliser, 4 dB up in a third of the bands", [-30.0, -36.0, -35.0], true),
            ("a solo: two thirds of the bands gone", [-30.0, -80.0, -80.0], false),
            ("a record, 10 dB louder and of another balance", [-22.0, -26.0, -25.0], false),
        ] {
            let mut cells = SongCells::default();
            cells.take(&cell(0, 1, &song));
            assert_eq!(cells.take(&cell(0, 2, &heard)), is_song, "{what}");
            assert_eq!(cells.is_aside((true, 0)), !is_song, "{what}");
        }
    }

    #[test]
    fn what_is_aside_becomes_the_song_when_it_is_kept() {
        let mut cells = SongCells::default();
        cells.take(&cell(0, 1, &[-30.0, -40.0]));
        assert!(!cells.take(&cell(0, 2, &[-30.0, -70.0])));
        assert_eq!(cells.keep_aside().len(), 1);
        assert_eq!(cells.get((true, 0)).unwrap().cell.place.pass, 2);
        assert_eq!(cells.asides().count(), 0);
        // And from then on that is what the next pass is put beside.
        assert!(cells.take(&cell(0, 3, &[-30.0, -70.0])));
    }

    #[test]
    fn what_the_person_calls_aside_is_aside() {
        let mut cells = SongCells::default();
        cells.tell_aside(true);
        assert!(!cells.take(&cell(0, 1, &[-30.0])));
        cells.tell_aside(false);
        assert!(cells.take(&cell(1, 1, &[-30.0])));
        assert_eq!(cells.cells().count(), 1);
    }

    #[test]
    fn four_hours_are_held_and_the_first_is_let_go() {
        let mut cells = SongCells::default();
        let most = MOST_CELLS as i64;
        for index in 0..most {
            cells.take(&cell(index, 1, &[-30.0]));
        }
        assert_eq!(cells.let_go(), None);
        cells.tell_aside(true);
        cells.take(&cell(3, 2, &[-30.0]));
        cells.tell_aside(false);
        for index in most..most + 5 {
            cells.take(&cell(index, 1, &[-30.0]));
        }
        assert_eq!(cells.let_go(), Some((true, 5)));
        assert_eq!((cells.cells().count(), cells.asides().count()), (MOST_CELLS, 0));
    }

    #[test]
    fn a_muted_song_is_aside() {
        let mut cells = SongCells::default();
        cells.take(&cell(0, 1, &[-30.0]));
        let mut silent = cell(0, 2, &[-30.0]);
        silent.weighted = Power::default();
        assert!(!cells.take(&silent));
    }
}
