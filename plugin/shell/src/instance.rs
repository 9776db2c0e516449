//! One instance, as its parts share it.

use std::sync::Arc;

use candlemark_clerk::Seat;
use candlemark_handoff::{OrderSender, TapeReader};

use crate::frames::Frames;
use crate::framework::Settings;

/// What the meter, its editor and its window all know of their instance.
#[derive(Clone)]
pub(crate) struct Instance {
    pub(crate) settings: Arc<Settings>,
    pub(crate) seat: Arc<Seat>,
    pub(crate) orders: OrderSender,
    pub(crate) tape: TapeReader,
    pub(crate) frames: Frames,
}
