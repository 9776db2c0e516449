//! What the chunks of a song that is worked on add up to, over its cells as they stand: integrated loudness, range, and
//! what should not be.
//!
//! Every cell keeps the powers and the faults of its chunks of 100 ms as its latest eligible pass gave them. In the song's
//! order they make the gating blocks and the short-term values of the standard, whatever was heard after what.

use std::collections::BTreeMap;

use candlemark_analysis::{Hertz, LoudnessHistogram, Reading};

use crate::health_tally::HealthTally;
use crate::song_cells::{CellKey, SongCells};
use crate::stretches::follows;
use crate::strip::SHORT_TERM_S;

/// Seconds of a gating block: ITU-R BS.1770-5 (11/2023) Annex 1.
const BLOCK_S: f64 = 0.4;

/// A position at a cell's border belongs to the cell before it, but for rounding.
const ROUNDING: f64 = 1e-6;

/// A chunk: K-weighted energy summed over channels, and frames.
type Chunk = (f64, u32);

/// Passes of one cell that are held at most (ours). One that ends inside the cell is never settled, and a loop makes one
/// with every turn.
const MOST_PASSES: usize = 8;

/// One pass's chunks in a cell.
struct PassChunks {
    pass: u32,
    /// It stands for the cell.
    stands: bool,
    chunks: Vec<Chunk>,
    tally: HealthTally,
}

/// The chunks of every cell.
#[derive(Default)]
pub(crate) struct SongChunks {
    cells: BTreeMap<CellKey, Vec<PassChunks>>,
}

/// What they add up to in loudness.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Gated {
    /// The integrated loudness as a power; 0 when nothing passed the gates.
    pub(crate) integrated_power: f64,
    /// The power above which sound counts.
    pub(crate) gate_power: f64,
    /// Loudness range in LU.
    pub(crate) range_lu: Option<f64>,
}

impl SongChunks {
    /// Takes in a chunk that begins at `at_s` of the song, where a pass runs.
    pub(crate) fn take(&mut self, reading: &Reading, at_s: f64) {
        let place = &reading.place;
        if place.pass == 0 || place.preroll || reading.frames == 0 {
            return;
        }
        let cells = place.beats.map_or(place.song_s, |beats| beats / 2.0);
        let key = (place.beats.is_some(), (cells - ROUNDING).floor() as i64);
        let chunk = (reading.weighted.total(reading.channels) * f64::from(reading.frames), reading.frames);
        let passes = self.cells.entry(key).or_default();
        if passes.last().is_none_or(|last| last.pass != place.pass) {
            if passes.len() == MOST_PASSES {
                let oldest = passes.iter().position(|chunks| !chunks.stands).unwrap_or(0);
                passes.remove(oldest);
            }
            let (chunks, tally) = (Vec::new(), HealthTally::default());
            passes.push(PassChunks { pass: place.pass, stands: false, chunks, tally });
        }
        if let Some(last) = passes.last_mut() {
            last.chunks.push(chunk);
            last.tally.take(reading, at_s);
        }
    }

    /// A pass has filled a cell, for which `song_pass` stands now. Passes before are done with.
    pub(crate) fn settle(&mut self, key: CellKey, pass: u32, song_pass: Option<u32>) {
        if let Some(passes) = self.cells.get_mut(&key) {
            for chunks in passes.iter_mut() {
                chunks.stands = Some(chunks.pass) == song_pass;
            }
            passes.retain(|chunks| chunks.pass >= pass || chunks.stands);
        }
    }

    /// Lets go of every place before this.
    pub(crate) fn let_go_before(&mut self, first: CellKey) {
        self.cells = self.cells.split_off(&first);
    }

    /// Every place that was heard, in the song's order, with the chunks of the pass that stands for it, if one does.
    fn standing<'a>(
        &'a self,
        song: &'a SongCells,
    ) -> impl Iterator<Item = (CellKey, Option<&'a PassChunks>)> {
        self.cells.iter().map(|(&key, passes)| {
            let pass = song.get(key).map(|heard| heard.cell.place.pass);
            (key, passes.iter().find(|chunks| Some(chunks.pass) == pass))
        })
    }

    /// What should not be, over the cells as they stand.
    pub(crate) fn tally(&self, song: &SongCells) -> HealthTally {
        let mut sum = HealthTally::default();
        self.standing(song).filter_map(|(_, chunks)| chunks).for_each(|chunks| sum.add(&chunks.tally));
        sum
    }

    /// Works the song's loudness out, over the cells as they stand.
    pub(crate) fn gated(&self, song: &SongCells, rate: Hertz) -> Gated {
        let mut blocks = LoudnessHistogram::default();
        let mut short_terms = LoudnessHistogram::default();
        let mut row: Vec<Chunk> = Vec::new();
        let mut before: Option<CellKey> = None;
        for (key, chunks) in self.standing(song) {
            if !before.is_some_and(|before| follows(before, key)) || chunks.is_none() {
                row.clear();
            }
            before = chunks.map(|_| key);
            for chunk in chunks.iter().flat_map(|chunks| &chunks.chunks) {
                row.push(*chunk);
                count(&mut blocks, &row, BLOCK_S * rate.0);
                count(&mut short_terms, &row, SHORT_TERM_S * rate.0);
            }
            // No window reaches further back.
            let needless = row.len().saturating_sub(64);
            row.drain(..needless);
        }
        let absolute = LoudnessHistogram::ABSOLUTE_GATE.power();
        Gated {
            integrated_power: blocks.integrated_power(),
            gate_power: blocks.gate_power().max(absolute),
            range_lu: short_terms.range_lu(),
        }
    }
}

/// Counts the window of `wanted` frames that ends with the row, when the row is long enough and it is above the
/// absolute gate.
fn count(histogram: &mut LoudnessHistogram, row: &[Chunk], wanted: f64) {
    let (mut energy, mut frames) = (0.0, 0.0);
    for &(chunk, length) in row.iter().rev() {
        energy += chunk;
        frames += f64::from(length);
        if frames >= wanted - 1.0 {
            break;
        }
    }
    let power = energy / f64::max(frames, 1.0);
    if frames >= wanted - 1.0 && power > LoudnessHistogram::ABSOLUTE_GATE.power() {
        histogram.add(power);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::a_reading::a_reading;

    /// A host that loops a third of a cell: no pass ever fills it, and nothing is settled.
    #[test]
    fn passes_that_end_inside_a_cell_do_not_pile_up() {
        let mut chunks = SongChunks::default();
        let mut reading = a_reading();
        for pass in 1..1000 {
            (reading.place.pass, reading.place.song_s) = (pass, 0.3);
            chunks.take(&reading, 0.2);
            if pass == 4 {
                chunks.settle((false, 0), 4, Some(4));
            }
        }
        let passes: Vec<u32> = chunks.cells[&(false, 0)].iter().map(|chunks| chunks.pass).collect();
        assert_eq!(passes, [4, 993, 994, 995, 996, 997, 998, 999], "the song's, and the last");
        chunks.let_go_before((false, 1));
        assert!(chunks.cells.is_empty());
    }
}
