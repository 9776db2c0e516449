//! Which form of state a project holds, so that an older one is completed and a newer one is told.

use std::sync::Arc;

use candlemark_handoff::{Oddity, OrderSender, TapeReader};
use nice_plug::params::persist::PersistentField;

use crate::saved_once::Saved;
use crate::untold::Untold;

/// The form that is written. The first had the yardstick alone and did not say its number; the second has the
/// parameters as well; the third how the editor looks; the fourth the songs.
const FORMAT: u32 = 4;

/// Writes the present form's number, and counts states of newer forms. With a state that is loaded, whatever is auditioned
/// lets go: it was asked for in another project, or in another state of this one. And so is forgotten what had changed there.
pub(crate) struct SavedFormat {
    tape: TapeReader,
    orders: OrderSender,
    untold: Arc<Untold>,
}

impl SavedFormat {
    pub(crate) fn new(tape: TapeReader, orders: OrderSender, untold: Arc<Untold>) -> Self {
        Self { tape, orders, untold }
    }

    /// What a state of the first form would say, had it said it.
    pub(crate) fn first_field() -> String {
        "1".into()
    }
}

impl PersistentField<'_, Saved<u32>> for SavedFormat {
    fn set(&self, saved: Saved<u32>) {
        self.orders.let_go();
        self.untold.forget();
        match saved {
            Saved::Kept(number) if number <= FORMAT => {}
            Saved::Kept(_) => self.tape.oddities().count(Oddity::NewerState),
            Saved::Spoilt(_) => self.tape.oddities().count(Oddity::SpoiltState),
        }
    }

    fn map<F, R>(&self, f: F) -> R
    where
        F: Fn(&Saved<u32>) -> R,
    {
        f(&Saved::Kept(FORMAT))
    }
}
