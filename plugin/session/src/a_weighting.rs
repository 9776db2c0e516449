//! The A-weighting of sound-level meters: IEC 61672-1:2013 Annex E.

use candlemark_analysis::Hertz;

/// The poles of the weighting in hertz: IEC 61672-1:2013 Annex E.
const POLES_HZ: [f64; 4] = [20.598_997, 107.652_65, 737.862_23, 12_194.217];

/// Gain of the A-weighting in dB; 0 at 1 kHz.
pub fn a_weighting_db(frequency: Hertz) -> f64 {
    response_db(frequency.0) - response_db(1000.0)
}

/// IEC 61672-1:2013 Annex E, formula (E.6) without its normalisation.
fn response_db(hz: f64) -> f64 {
    let squared = hz * hz;
    let [lowest, low, high, highest] = POLES_HZ.map(|pole| squared + pole * pole);
    20.0 * (squared * squared / (lowest * (low * high).sqrt() * highest)).log10()
}

#[cfg(test)]
mod tests {
    use candlemark_analysis::bands::{NOMINAL_HZ, mid_band};

    use super::*;

    /// IEC 61672-1:2013 Table 3, A, 20 Hz to 20 kHz in third octaves, as two open libraries print it (phonometry and
    /// python-acoustics).
    const TABLE_3_DB: [f64; 31] = [
        -50.5, -44.7, -39.4, -34.6, -30.2, -26.2, -22.5, -19.1, -16.1, -13.4, -10.9, -8.6, -6.6, -4.8, -3.2,
        -1.9, -0.8, 0.0, 0.6, 1.0, 1.2, 1.3, 1.2, 1.0, 0.5, -0.1, -1.1, -2.5, -4.3, -6.6, -9.3,
    ];

    #[test]
    fn it_is_the_standards_table_at_every_third_octave() {
        for (index, expected) in TABLE_3_DB.into_iter().enumerate() {
            let gain = a_weighting_db(mid_band(index));
            // The table is rounded to a tenth.
            assert!((gain - expected).abs() <= 0.051, "{} Hz: {gain} for {expected}", NOMINAL_HZ[index]);
        }
    }
}
