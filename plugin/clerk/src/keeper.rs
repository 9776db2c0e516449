//! What the host's project keeps of an instance, as the clerk needs it.

use std::sync::Arc;

use candlemark_session::remarks::Meant;
use candlemark_session::yardstick::Yardstick;

/// Keeps the yardstick in use where the host's project is saved.
pub trait Keeper: Send + Sync {
    /// The yardstick in use.
    fn yardstick(&self) -> Option<Arc<Yardstick>>;
    /// Takes a yardstick into use.
    fn take_into_use(&self, yardstick: Yardstick);
    /// Uses none any more.
    fn put_away(&self);
    /// The person says that what sounds is aside.
    fn is_aside(&self) -> bool;
    /// The song's time, in seconds.
    fn song_time_s(&self) -> f64;
    /// What was meant of this song before, when a project has just been opened; `None` otherwise, so that it is taken once.
    fn newly_opened_meant(&self) -> Option<Vec<Meant>>;
    /// Keeps what is meant.
    fn keep_meant(&self, meant: &[Meant]);
}
