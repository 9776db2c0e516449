//! The song as the tape tells it, worked out while the editor is open.

use std::time::{Duration, Instant};

use candlemark_analysis::{Channels, Hertz};
use candlemark_handoff::{Activation, CellFollower, ReadingFollower, TapeReader, TapedCell, TapedReading};
use candlemark_session::desk::Desk;
use candlemark_session::figures::SongFigures;

/// How often the song's own figures are worked out anew: their work grows with the song.
const FIGURES: Duration = Duration::from_secs(1);

/// A Desk that follows a tape.
pub(crate) struct Song {
    readings: ReadingFollower,
    cells: CellFollower,
    activation: Option<Activation>,
    /// Records that were read before their activation was.
    waiting: (Option<TapedReading>, Option<TapedCell>),
    desk: Desk,
    figures: SongFigures,
    figures_at: Option<Instant>,
}

impl Song {
    /// A Desk that has taken nothing of the tape yet.
    pub(crate) fn new(tape: &TapeReader) -> Self {
        Self {
            readings: tape.readings.follow(),
            cells: tape.cells.follow(),
            activation: None,
            waiting: (None, None),
            desk: Desk::of_song(Hertz(0.0), Channels::Stereo),
            figures: SongFigures::default(),
            figures_at: None,
        }
    }

    /// Takes what the tape has got since.
    pub(crate) fn catch_up(&mut self, tape: &TapeReader) {
        let activation = tape.activation();
        if activation != self.activation {
            // A Desk is made for one sample rate: another begins a song anew.
            self.activation = activation;
            if let Some(Activation { sample_rate, channels, .. }) = activation {
                self.desk = Desk::of_song(sample_rate, channels);
            }
            self.figures_at = None;
        }
        let Some(activation) = activation else { return };
        // Of an activation that came after the one looked at, the first record waits for the next time.
        while let Some(taped) = self.waiting.0.take().or_else(|| self.readings.poll()) {
            if taped.activation == activation {
                self.desk.take_reading(&taped.reading);
            } else if taped.activation.number > activation.number {
                self.waiting.0 = Some(taped);
                break;
            }
        }
        while let Some(taped) = self.waiting.1.take().or_else(|| self.cells.poll()) {
            let ahead = taped.activation.wrapping_sub(activation.number as u16);
            if ahead == 0 {
                self.desk.take_cell(&taped.cell);
            } else if ahead < u16::MAX / 2 {
                self.waiting.1 = Some(taped);
                break;
            }
        }
        if self.figures_at.is_none_or(|at| at.elapsed() >= FIGURES) {
            self.figures = self.desk.figures();
            self.figures_at = Some(Instant::now());
        }
    }

    pub(crate) fn desk(&self) -> &Desk {
        &self.desk
    }

    /// What the song measured within the last second.
    pub(crate) fn figures(&self) -> SongFigures {
        self.figures.clone()
    }
}
