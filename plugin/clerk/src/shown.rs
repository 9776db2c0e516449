//! What the clerk has to show of an instance.

use std::sync::Arc;

use candlemark_session::remarks::Meant;
use candlemark_session::song_page::SongId;
use candlemark_session::taking::Progress;
use candlemark_session::view::View;

/// What there is to show of an instance.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Shown {
    /// The song, the sound and the figures.
    pub view: View,
    /// Names of the yardsticks on the shelf that can be read.
    pub shelf: Arc<[String]>,
    /// Name of the yardstick in use.
    pub in_use: Option<String>,
    /// What went wrong with the last order, and what to do.
    pub trouble: Option<String>,
    /// Gain of the audition that sounds, in dB.
    pub match_db: Option<f64>,
    /// The yardstick that is being taken.
    pub taking: Option<Progress>,
    /// What the person has meant of what was said of this song.
    pub meant: Vec<Meant>,
    /// The songs of the project: which they are and what they are called, in the order in which they were begun.
    pub songs: Arc<[(SongId, String)]>,
    /// The one of them that is worked on.
    pub song: Option<SongId>,
}
