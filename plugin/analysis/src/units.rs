//! Newtypes that carry a figure's unit. Written down, each is its number: the unit is in the key.

use serde::{Deserialize, Serialize};

/// A loudness in LUFS: loudness units on the full scale of ITU-R BS.1770-5.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Lufs(pub f64);

/// A level or a difference of levels in decibels. What it is relative to is said by the name of the field
/// or function that gives it (`true_peak_dbtp`, `fold_db`).
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Db(pub f64);

/// A frequency or a sample rate in hertz.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Hertz(pub f64);

impl Db {
    /// The level of a power ratio: 10·log₁₀ `power`. Zero power, negative power and NaN give `None`, for
    /// there is no such level.
    pub fn of_power(power: f64) -> Option<Self> {
        (power > 0.0).then(|| Self(10.0 * power.log10()))
    }

    /// The level of an amplitude ratio: 20·log₁₀ `amplitude`. Zero and NaN give `None`.
    pub fn of_amplitude(amplitude: f64) -> Option<Self> {
        (amplitude > 0.0).then(|| Self(20.0 * amplitude.log10()))
    }
}

/// The offset that makes a 997 Hz sine read its own level: ITU-R BS.1770-5 (11/2023), Annex 1, eq. (2) and
/// its Note 1.
const LOUDNESS_OFFSET_DB: f64 = -0.691;

impl Lufs {
    /// The loudness of a K-weighted power: −0.691 + 10·log₁₀ Σ zᵢ, where zᵢ is the K-weighted mean square of
    /// channel i and full scale is ±1 (ITU-R BS.1770-5, Annex 1, eq. (2)). Zero power (silence) and NaN give
    /// `None`: silence has no loudness.
    pub fn of_power(power: f64) -> Option<Self> {
        (power > 0.0).then(|| Self(LOUDNESS_OFFSET_DB + 10.0 * power.log10()))
    }

    /// The K-weighted power, summed over channels, that has this loudness: the inverse of
    /// [`Lufs::of_power`].
    pub fn power(self) -> f64 {
        10f64.powf((self.0 - LOUDNESS_OFFSET_DB) / 10.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn loudness_and_its_power_are_inverses() {
        for lufs in [-70.0, -23.0, 0.0, 3.0] {
            let back = Lufs::of_power(Lufs(lufs).power()).unwrap().0;
            assert!((back - lufs).abs() < 1e-12, "{lufs} came back as {back}");
        }
    }

    #[test]
    fn ten_times_the_power_is_ten_decibels_and_ten_times_the_amplitude_twenty() {
        assert_eq!([Db::of_power(10.0), Db::of_amplitude(10.0)], [Some(Db(10.0)), Some(Db(20.0))]);
        assert_eq!([Db::of_power(1.0), Db::of_amplitude(1.0)], [Some(Db(0.0)); 2]);
        assert!((Db::of_amplitude(0.5).unwrap().0 + 6.0206).abs() < 1e-4);
    }

    #[test]
    fn nothing_has_no_level() {
        assert_eq!(Lufs::of_power(0.0), None);
        assert_eq!(Lufs::of_power(f64::NAN), None);
        assert_eq!(Db::of_power(-1.0), None);
        assert_eq!(Db::of_amplitude(0.0), None);
    }
}
