//! Levels in 16 bits and song positions in 32: what four hours of records can afford.

/// The level of nothing: it stands for a power of zero and never leaves this room.
const NOTHING: i16 = i16::MIN;

/// The level of a power in 1/100 dB, rounded to the nearest, so within 0.005 dB; −327.67 to +327.67 dB,
/// beyond which it stays at the end of the range. Zero (and NaN, which no power is) has a code of its own.
pub(crate) fn level_of_power(power: f64) -> u16 {
    let hundredths = 1000.0 * power.log10();
    let level = if power > 0.0 { (hundredths.round() as i16).max(NOTHING + 1) } else { NOTHING };
    level.cast_unsigned()
}

/// The power with this level; 0 for nothing.
pub(crate) fn power_of_level(code: u16) -> f64 {
    match code.cast_signed() {
        NOTHING => 0.0,
        level => 10f64.powf(f64::from(level) / 1000.0),
    }
}

/// Ticks of a song position in a second: 0.1 ms. Single precision would do as well at the song's start, but
/// no more after a few hours, where templates like to put the second song.
const TICKS_PER_SECOND: f64 = 10_000.0;

/// A song position in seconds, as ticks: within 0.05 ms, to ±59 hours, beyond which it stays at the end of
/// the range.
pub(crate) fn ticks_of_seconds(seconds: f64) -> i32 {
    (seconds * TICKS_PER_SECOND).round() as i32
}

/// The song position in seconds of so many ticks.
pub(crate) fn seconds_of_ticks(ticks: i32) -> f64 {
    f64::from(ticks) / TICKS_PER_SECOND
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_level_comes_back_within_half_a_hundredth() {
        for tenth in -3276..=3276 {
            for offset in [0.0, 0.0049, -0.0049, 0.0031] {
                let db = f64::from(tenth) / 10.0 + offset;
                let power = 10f64.powf(db / 10.0);
                let back = 10.0 * power_of_level(level_of_power(power)).log10();
                assert!((back - db).abs() < 0.00501, "{db} dB came back as {back}");
            }
        }
    }

    #[test]
    fn nothing_stays_nothing_and_extremes_stay_in_range() {
        for nothing in [0.0, -0.0, -1.0, f64::NAN] {
            assert_eq!(power_of_level(level_of_power(nothing)), 0.0);
        }
        // The quietest level is not nothing.
        assert!(power_of_level(level_of_power(f64::MIN_POSITIVE)) > 0.0);
        assert!(power_of_level(level_of_power(f64::INFINITY)).is_finite());
    }

    #[test]
    fn a_song_position_comes_back_within_half_a_tick() {
        for seconds in [0.0, -3.5, 12.345_67, 7_199.999_96, 123_456.789] {
            assert!((seconds_of_ticks(ticks_of_seconds(seconds)) - seconds).abs() <= 0.000_050_1);
        }
        assert_eq!(ticks_of_seconds(1e12), i32::MAX);
        assert_eq!(ticks_of_seconds(f64::NAN), 0);
    }
}
