//! What was wrong along the way, while it could still be read on.

use symphonia::core::errors::Error;

/// The places at which a file's sound is damaged.
#[derive(Debug, Default)]
pub(crate) struct Damage {
    places: u32,
    first: Option<Place>,
    /// Frames that had been read at the last place.
    last_frame: u64,
    /// Frames that are known to be missing.
    pub(crate) lost_frames: u64,
}

/// The first place.
#[derive(Debug)]
pub(crate) struct Place {
    /// Frames that had been read.
    pub(crate) frame: u64,
    /// What is wrong there.
    pub(crate) what: &'static str,
    /// What the decoder said.
    pub(crate) cause: Option<Error>,
}

impl Damage {
    /// Notes that something is wrong after `frame` frames, and that `lost_frames` are missing there. What
    /// happens with no sound between is one place.
    pub(crate) fn note(&mut self, frame: u64, lost_frames: u64, what: &'static str, cause: Option<Error>) {
        if self.first.is_none() || self.last_frame != frame {
            self.places = self.places.saturating_add(1);
        }
        self.last_frame = frame;
        self.lost_frames = self.lost_frames.saturating_add(lost_frames);
        self.first.get_or_insert(Place { frame, what, cause });
    }

    /// Nothing was wrong.
    pub(crate) fn is_none(&self) -> bool {
        self.first.is_none()
    }

    /// How many places there are, and the first of them; `None` when there is none.
    pub(crate) fn take(&mut self) -> Option<(u32, Place)> {
        self.first.take().map(|first| (self.places, first))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn damage_in_one_place_is_counted_once() {
        let mut damage = Damage::default();
        damage.note(0, 10, "a", None);
        damage.note(0, 10, "b", None);
        damage.note(500, 0, "c", None);
        assert_eq!(damage.lost_frames, 20);
        let (places, first) = damage.take().unwrap();
        assert_eq!((places, first.frame, first.what), (2, 0, "a"));
        assert!(damage.take().is_none());
    }
}
