//! The third octaves: IEC 61260-1:2014 base-ten mid-bands.

use crate::Hertz;

/// Third octaves from 20 Hz to 20 kHz.
pub const BAND_COUNT: usize = 31;

/// The nominal mid-band frequencies of ISO 266 (series R10), for showing; index as in [`mid_band`].
pub const NOMINAL_HZ: [f64; BAND_COUNT] = [
    20.0, 25.0, 31.5, 40.0, 50.0, 63.0, 80.0, 100.0, 125.0, 160.0, 200.0, 250.0, 315.0, 400.0, 500.0, 630.0,
    800.0, 1000.0, 1250.0, 1600.0, 2000.0, 2500.0, 3150.0, 4000.0, 5000.0, 6300.0, 8000.0, 10000.0, 12500.0,
    16000.0, 20000.0,
];

/// Index of the 1 kHz band.
const ONE_KILOHERTZ: i32 = 17;

/// Exact mid-band frequency of band `index` (0 is 20 Hz, 17 is 1 kHz, 30 is 20 kHz): 1000·G^(x/3) with
/// G = 10^(3/10), IEC 61260-1:2014 formulae (1) and (2).
pub fn mid_band(index: usize) -> Hertz {
    Hertz(1000.0 * 10f64.powf((index as i32 - ONE_KILOHERTZ) as f64 / 10.0))
}

/// Lower and upper band-edge frequency of band `index`: the mid-band times G^(∓1/6), IEC 61260-1:2014
/// formulae (4) and (5).
pub fn band_edges(index: usize) -> (Hertz, Hertz) {
    let half_band = 10f64.powf(0.05);
    let Hertz(mid) = mid_band(index);
    (Hertz(mid / half_band), Hertz(mid * half_band))
}

/// How many of the bands fit under half the sample rate: bands `0..fitting_bands(rate)` are measured, the
/// others are zero. 31 from 48 kHz on, 30 at 44.1 kHz.
pub fn fitting_bands(sample_rate: Hertz) -> usize {
    (0..BAND_COUNT).take_while(|&i| band_edges(i).1.0 <= sample_rate.0 / 2.0).count()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Upper edges in hertz: 3.15 kHz 3548, 4 kHz 4467; 8 kHz 8913, 10 kHz 11 220; 16 kHz 17 783, 20 kHz 22 387.
    #[test]
    fn as_many_bands_fit_as_lie_wholly_under_half_the_rate() {
        for (rate, bands) in [(8_000.0, 23), (22_050.0, 27), (44_100.0, 30), (48_000.0, 31), (192_000.0, 31)]
        {
            assert_eq!(fitting_bands(Hertz(rate)), bands, "{rate} Hz");
        }
    }
}
