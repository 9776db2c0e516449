//! Cells in a row, and what they add up to.

use std::ops::RangeInclusive;

use candlemark_analysis::{Cell, Hertz, Power};

use crate::song_cells::CellKey;

/// Whether the second cell begins where the first ends.
pub(crate) fn follows(before: CellKey, after: CellKey) -> bool {
    before.0 == after.0 && before.1 + 1 == after.1
}

/// Where a cell begins in the song, in seconds.
pub(crate) fn start_s(cell: &Cell, rate: Hertz) -> f64 {
    cell.place.song_s - f64::from(cell.frames) / rate.0
}

/// Stretches of cells that follow one another.
pub(crate) struct Stretches<'a> {
    pub(crate) cells: Vec<&'a Cell>,
    pub(crate) spans: Vec<RangeInclusive<usize>>,
}

impl Stretches<'_> {
    /// The cells of each stretch.
    pub(crate) fn rows(&self) -> impl Iterator<Item = &[&Cell]> {
        self.spans.iter().map(|span| &self.cells[span.clone()])
    }

    /// Each stretch, added up as it is asked for: to hold them all would take more than the song's cells do.
    pub(crate) fn windows(&self) -> impl Iterator<Item = Window<'_>> {
        self.rows().map(|cells| {
            let (first, last) = (cells[0], cells[cells.len() - 1]);
            let sound = Sound::of(cells.iter().copied()).mean();
            Window { sound, one_pass: first.place.pass == last.place.pass, last }
        })
    }
}

/// One stretch.
pub(crate) struct Window<'a> {
    pub(crate) sound: Sound,
    /// All of its cells were filled by one pass.
    pub(crate) one_pass: bool,
    pub(crate) last: &'a Cell,
}

/// Powers over several cells, each weighing by its length.
#[derive(Clone, Copy, Default)]
pub(crate) struct Sound {
    pub(crate) frames: f64,
    pub(crate) weighted: Power,
    pub(crate) plain: Power,
    pub(crate) bands: [Power; candlemark_analysis::bands::BAND_COUNT],
}

impl Sound {
    /// Cells added up.
    pub(crate) fn of<'a>(cells: impl IntoIterator<Item = &'a Cell>) -> Self {
        let mut sound = Self::default();
        cells.into_iter().for_each(|cell| sound.add(cell));
        sound
    }

    pub(crate) fn add(&mut self, cell: &Cell) {
        let frames = f64::from(cell.frames);
        self.frames += frames;
        add(&mut self.weighted, cell.weighted, frames);
        add(&mut self.plain, cell.plain, frames);
        for (sum, band) in self.bands.iter_mut().zip(cell.bands) {
            add(sum, band.into(), frames);
        }
    }

    pub(crate) fn mean(mut self) -> Self {
        let frames = self.frames.max(1.0);
        for power in [&mut self.weighted, &mut self.plain].into_iter().chain(&mut self.bands) {
            power.left /= frames;
            power.right /= frames;
            power.mid /= frames;
        }
        self
    }
}

fn add(sum: &mut Power, power: Power, frames: f64) {
    sum.left += power.left * frames;
    sum.right += power.right * frames;
    sum.mid += power.mid * frames;
}
