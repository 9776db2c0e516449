//! What a song means, worked out when there is something new to mean it by, and not with every round.

use std::sync::Arc;
use std::time::{Duration, Instant};

use candlemark_session::remarks::{Around, Remarks, Stage};
use candlemark_session::view::{Meaning, WorkedOut};
use candlemark_session::yardstick::Yardstick;

/// What changes without a sign (minutes, the level at the chair) is looked at so often.
const EVERY: Duration = Duration::from_secs(1);

/// The latest meaning, and what it was worked out with.
#[derive(Default)]
pub(crate) struct Understood {
    meaning: Meaning,
    with: Option<(Option<Arc<Yardstick>>, Stage, Instant)>,
}

impl Understood {
    /// What the song means now. `is_new` says that something was ordered, or heard that was not worked out before.
    pub(crate) fn look(
        &mut self,
        is_new: bool,
        worked_out: &WorkedOut,
        remarks: &mut Remarks,
        (yardstick, around): (Option<&Arc<Yardstick>>, &Around),
        now: Instant,
    ) -> Meaning {
        let stands = self.with.as_ref().is_some_and(|(before, stage, at)| {
            before.as_ref().map(Arc::as_ptr) == yardstick.map(Arc::as_ptr)
                && *stage == around.stage
                && now.saturating_duration_since(*at) < EVERY
        });
        if is_new || !stands {
            self.meaning = Meaning::of(worked_out, remarks, around);
            self.with = Some((yardstick.cloned(), around.stage, now));
        }
        self.meaning.clone()
    }
}
