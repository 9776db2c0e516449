//! Notices when the sound system has fallen silent, and tells it once each time.

use std::time::{Duration, Instant};

use crate::tally::Tally;
use crate::tell;

/// No block for so long means that none is coming: the longest blocks there are last a second.
const LONGEST: Duration = Duration::from_secs(3);

/// When the last block was seen.
pub(crate) struct Silence {
    blocks: u64,
    since: Instant,
    is_told: bool,
}

impl Silence {
    pub(crate) fn new(tally: &Tally) -> Self {
        Self { blocks: tally.blocks(), since: Instant::now(), is_told: false }
    }

    /// Looks, and tells what there is to tell.
    pub(crate) fn look(&mut self, tally: &Tally) {
        if let Some(why) = tally.take_stopped() {
            tell(&format!("the sound system says: {why}"));
        }
        if self.is_news(tally.blocks(), Instant::now()) {
            tell(
                &"the sound system has stopped, and the figures stand still; if it does not come back, end this and \
                   start it again",
            );
        }
    }

    fn is_news(&mut self, blocks: u64, now: Instant) -> bool {
        if blocks != self.blocks {
            *self = Self { blocks, since: now, is_told: false };
            return false;
        }
        let silent = now.duration_since(self.since) > LONGEST;
        silent && !std::mem::replace(&mut self.is_told, silent)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_standstill_is_told_once_and_again_when_sound_has_come_in_between() {
        let mut silence = Silence::new(&Tally::default());
        let begun = silence.since;
        let mut look = |blocks, seconds| silence.is_news(blocks, begun + Duration::from_secs(seconds));
        assert!(!look(1, 1));
        assert!(!look(1, 4));
        assert!(look(1, 5));
        assert!(!look(1, 9));
        assert!(!look(2, 10));
        assert!(!look(2, 13));
        assert!(look(2, 14));
    }
}
