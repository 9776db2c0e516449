//! What the host's project keeps of an instance, as the clerk needs it.

use std::sync::Arc;

use candlemark_session::candle::Times;
use candlemark_session::chair::{Knob, MEANT_DBA};
use candlemark_session::lights_out::HAND_S;
use candlemark_session::remarks::{Meant, Stage};
use candlemark_session::song_page::Songs;
use candlemark_session::yardstick::Yardstick;

/// What the person has told the host's project.
#[derive(Clone, Copy, Debug)]
pub struct Told {
    /// What sounds is aside.
    pub aside: bool,
    /// What is being done with the song.
    pub stage: Stage,
    /// The song's time and its rests.
    pub times: Times,
    /// Where the monitor knob is.
    pub knob: Knob,
    /// On headphones.
    pub headphones: bool,
    /// The level that is meant at the chair, in dBA.
    pub meant_dba: f64,
    /// How late the hand is that taps in the dark, in seconds.
    pub hand_s: f64,
    /// How often the parameter for a tap has been pressed since the instance was made.
    pub taps: u32,
}

impl Default for Told {
    fn default() -> Self {
        Self {
            aside: false,
            stage: Stage::default(),
            times: Times::default(),
            knob: Knob::default(),
            headphones: false,
            meant_dba: MEANT_DBA,
            hand_s: HAND_S,
            taps: 0,
        }
    }
}

/// What the clerk asks of, and keeps in, the host's project.
pub trait Keeper: Send + Sync {
    /// The yardstick in use.
    fn yardstick(&self) -> Option<Arc<Yardstick>>;
    /// Takes a yardstick into use.
    fn take_into_use(&self, yardstick: Yardstick);
    /// Uses none any more.
    fn put_away(&self);
    /// What the person has told.
    fn told(&self) -> Told;
    /// The songs of a project that has just been opened; `None` otherwise, so that they are taken once.
    fn newly_opened_songs(&self) -> Option<Songs>;
    /// Keeps the songs.
    fn keep_songs(&self, songs: &Songs);
    /// What was meant of this song before, when a project has just been opened; `None` otherwise, so that it is taken once.
    fn newly_opened_meant(&self) -> Option<Vec<Meant>>;
    /// Keeps what is meant.
    fn keep_meant(&self, meant: &[Meant]);
}
