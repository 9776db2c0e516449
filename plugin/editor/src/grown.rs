//! How the picture grows with its window: a large one is looked at from further away.

use egui::{Rangef, Vec2, vec2};

/// Up to this size the window's room goes to the pictures alone, in points (ours).
const FROM: Vec2 = vec2(1600.0, 1000.0);
/// Beyond it letters and marks grow as well, up to so many times (ours).
const TIMES: Rangef = Rangef { min: 1.0, max: 1.6 };

/// So many points of a window of this size are one as designed, in points.
pub(crate) fn of(window: Vec2) -> f32 {
    TIMES.clamp((window / FROM).min_elem())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_a_window_that_is_large_both_ways_makes_letters_larger() {
        assert_eq!(of(vec2(1084.0, 680.0)), 1.0);
        assert_eq!(of(vec2(3840.0, 680.0)), 1.0);
        assert_eq!(of(vec2(3840.0, 2160.0)), 1.6);
        assert!((of(vec2(2560.0, 1440.0)) - 1.44).abs() < 1e-6);
    }
}
