//! How much louder or quieter an audition is played, so that it is compared at equal loudness.

/// A gain as a factor of amplitude, from 0 to [`Gain::MAX`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gain(f32);

impl Gain {
    /// As it is.
    pub const UNITY: Self = Self(1.0);

    /// The most that a level match may add: a factor of 2, +6.02 dB.
    ///
    /// Unrelated channels of equal power, summed and played by one speaker alone, lose 3.01 dB by the sum and
    /// 3.01 dB by the silent speaker: that much must be made up for, and no more is, since what has nearly
    /// cancelled may come back at full level with the next chord.
    pub const MAX: Self = Self(2.0);

    /// The gain of a factor of amplitude; beyond the range it stays at the end of the range, and NaN, from
    /// which no level can be matched, is [`Gain::UNITY`].
    pub fn of_amplitude(factor_of_amplitude: f32) -> Self {
        if factor_of_amplitude.is_nan() {
            Self::UNITY
        } else {
            // A negative zero would turn silence's sign.
            Self(factor_of_amplitude.clamp(0.0, Self::MAX.0) + 0.0)
        }
    }

    /// The factor of amplitude, finite, from 0 to 2.
    pub fn amplitude(self) -> f32 {
        self.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_gain_is_always_finite_and_within_its_range() {
        for (given, kept) in [
            (0.0, 0.0),
            (0.5, 0.5),
            (1.0, 1.0),
            (2.0, 2.0),
            (2.000_001, 2.0),
            (f32::INFINITY, 2.0),
            (f32::NEG_INFINITY, 0.0),
            (-0.5, 0.0),
            (f32::NAN, 1.0),
        ] {
            assert_eq!(Gain::of_amplitude(given).amplitude(), kept, "{given}");
        }
        assert!(Gain::of_amplitude(-0.0).amplitude().is_sign_positive());
    }
}
