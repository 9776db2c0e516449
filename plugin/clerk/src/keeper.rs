//! What the host's project keeps of an instance, as the clerk needs it.

use std::sync::Arc;

use candlemark_session::candle::Times;
use candlemark_session::chair::{Knob, MEANT_DBA};
use candlemark_session::remarks::{Meant, Stage};
use candlemark_session::song_page::Songs;
use candlemark_session::yardstick::Yardstick;

/// How the person listens.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Listening {
    /// Where the monitor knob is.
    pub knob: Knob,
    /// On headphones.
    pub headphones: bool,
    /// The level that is meant at the chair, in dBA.
    pub meant_dba: f64,
}

impl Default for Listening {
    fn default() -> Self {
        Self { knob: Knob::default(), headphones: false, meant_dba: MEANT_DBA }
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
    /// The person says that what sounds is aside.
    fn is_aside(&self) -> bool;
    /// What is being done with the song.
    fn stage(&self) -> Stage;
    /// The song's time and its rests.
    fn times(&self) -> Times;
    /// Where the monitor knob is, and whether the person listens on headphones.
    fn listening(&self) -> Listening;
    /// How late the hand is that taps in the dark, in seconds.
    fn hand_s(&self) -> f64;
    /// How often the parameter for a tap has been pressed since the instance was made.
    fn taps(&self) -> u32;
    /// The songs of a project that has just been opened; `None` otherwise, so that they are taken once.
    fn newly_opened_songs(&self) -> Option<Songs>;
    /// Keeps the songs.
    fn keep_songs(&self, songs: &Songs);
    /// What was meant of this song before, when a project has just been opened; `None` otherwise, so that it is taken once.
    fn newly_opened_meant(&self) -> Option<Vec<Meant>>;
    /// Keeps what is meant.
    fn keep_meant(&self, meant: &[Meant]);
}
