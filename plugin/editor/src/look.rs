//! How the person wants the picture to look. It is kept with the host's project, never with the song.

use crate::palette::Palette;

/// The zooms that are offered, in percent.
pub const ZOOMS_PERCENT: [u16; 5] = [75, 100, 125, 150, 200];
/// How bright the dimmed picture may stay, in percent.
pub const FLOORS_PERCENT: [u16; 4] = [10, 20, 35, 50];

/// How the picture looks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[expect(clippy::struct_excessive_bools, reason = "each is a setting of its own, and any goes with any")]
pub struct Look {
    /// Which colours it is painted with.
    pub palette: Palette,
    /// How large everything is, in percent: one of [`ZOOMS_PERCENT`].
    pub zoom_percent: u16,
    /// The far view is shown.
    pub far: bool,
    /// How bright the dimmed picture stays, in percent: one of [`FLOORS_PERCENT`].
    pub floor_percent: u16,
    /// A ring stands at every band that mono takes from, not only where it takes more than from the records.
    pub rings_always: bool,
    /// Ticks show how a balance is heard at the level at the chair, where that is known.
    pub as_heard: bool,
    /// The hint for the first time has been seen.
    pub hint_seen: bool,
}

impl Default for Look {
    fn default() -> Self {
        Self {
            palette: Palette::default(),
            zoom_percent: 100,
            far: false,
            floor_percent: 35,
            rings_always: false,
            as_heard: false,
            hint_seen: false,
        }
    }
}

impl Look {
    /// The same, with what is not offered brought to what is nearest.
    #[must_use]
    pub fn offered(self) -> Self {
        let nearest = |wanted: u16, offered: &[u16]| {
            offered.iter().copied().min_by_key(|percent| percent.abs_diff(wanted)).unwrap_or(wanted)
        };
        Self {
            zoom_percent: nearest(self.zoom_percent, &ZOOMS_PERCENT),
            floor_percent: nearest(self.floor_percent, &FLOORS_PERCENT),
            ..self
        }
    }

    /// How large everything is: 1 is as designed.
    pub fn zoom_factor(self) -> f32 {
        f32::from(self.zoom_percent) / 100.0
    }

    /// How bright the dimmed picture stays, 0 to 1.
    pub fn floor_share(self) -> f64 {
        f64::from(self.floor_percent) / 100.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_not_offered_becomes_what_is_nearest() {
        let odd = Look { zoom_percent: 9_999, floor_percent: 0, ..Look::default() }.offered();
        assert_eq!((odd.zoom_percent, odd.floor_percent), (200, 10));
        let odd = Look { zoom_percent: 0, floor_percent: 60, ..Look::default() }.offered();
        assert_eq!((odd.zoom_percent, odd.floor_percent), (75, 50));
        assert_eq!(Look::default().offered(), Look::default());
    }
}
