//! What remarks are made on: all that is known of a song, as plain values.

use serde::{Deserialize, Serialize};

use crate::candle::Candle;
use crate::drift::Drifts;
use crate::elsewhere::Elsewhere;
use crate::figures::SongFigures;
use crate::yardstick::Yardstick;

/// What is being done with the song.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Stage {
    /// It is worked on. Nothing is said of what only matters when it leaves the room: that invites limiting.
    #[default]
    Mixing,
    /// It is finished, or about to be. A file is.
    Printing,
}

/// What a song is worked on with. By default nothing of it is known.
#[derive(Clone, Copy, Debug, Default)]
pub struct Around<'a> {
    /// The records that it is put beside.
    pub yardstick: Option<&'a Yardstick>,
    /// What is being done with it.
    pub stage: Stage,
    /// Its time, and the rests in it.
    pub candle: Candle,
    /// How far the level at the chair lay above what is meant, in dB.
    pub chair_over_db: Option<f64>,
}

/// All that is known of a song. What is not known is `None`, or empty, and then nothing is said of it.
#[derive(Clone, Copy, Debug)]
pub struct Given<'a> {
    /// What it measures.
    pub song: &'a SongFigures,
    /// What it is worked on with.
    pub around: Around<'a>,
    /// How far its balance has moved.
    pub drifts: Option<&'a Drifts>,
    /// Loudness kept on playbacks elsewhere, beside the same records.
    pub elsewhere: &'a [Elsewhere],
}

impl<'a> Given<'a> {
    /// A finished file, of which nothing is known but what it measures.
    pub fn of_file(song: &'a SongFigures, yardstick: Option<&'a Yardstick>) -> Self {
        Self::new(song, yardstick, Stage::Printing)
    }

    /// A song that is mixed, of which nothing is known but what it measures.
    pub fn of_song(song: &'a SongFigures, yardstick: Option<&'a Yardstick>) -> Self {
        Self::new(song, yardstick, Stage::Mixing)
    }

    fn new(song: &'a SongFigures, yardstick: Option<&'a Yardstick>, stage: Stage) -> Self {
        let around = Around { yardstick, stage, ..Around::default() };
        Self { song, around, drifts: None, elsewhere: &[] }
    }
}
