//! Shares of two published daily and weekly amounts of sound.
//!
//! No level is called safe: what counts is the whole day and the whole week, of which this is a part. Local rules and a
//! hearing professional come first.

/// NIOSH 98-126, recommended exposure limit: 85 dBA for 8 hours a day,
const NIOSH_DBA: f64 = 85.0;
const NIOSH_S: f64 = 8.0 * 3600.0;
/// and twice as long for every 3 dB less: NIOSH 98-126, exchange rate.
const NIOSH_EXCHANGE_DB: f64 = 3.0;

/// WHO and ITU (ITU-T H.870, 2018), adults: 80 dBA for 40 hours a week, by equal energy.
const WHO_DBA: f64 = 80.0;
const WHO_S: f64 = 40.0 * 3600.0;

/// The share of NIOSH's day that so many seconds at a level in dBA are; 1 is the whole.
pub fn niosh_day_share(level_dba: f64, seconds: f64) -> f64 {
    seconds / NIOSH_S * 2f64.powf((level_dba - NIOSH_DBA) / NIOSH_EXCHANGE_DB)
}

/// The share of the adult's week of WHO and ITU that so many seconds at a level in dBA are; 1 is the whole.
pub fn who_week_share(level_dba: f64, seconds: f64) -> f64 {
    seconds / WHO_S * 10f64.powf((level_dba - WHO_DBA) / 10.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// NIOSH 98-126, T = 480 / 2^((L − 85) / 3) minutes, its table of times.
    #[test]
    fn niosh_times_are_those_of_its_table() {
        for (level_dba, minutes, within) in [
            (80.0, 25.4 * 60.0, 0.01),
            (85.0, 480.0, 1e-9),
            (88.0, 240.0, 1e-9),
            (94.0, 60.0, 1e-9),
            (100.0, 15.0, 1e-9),
        ] {
            let share = niosh_day_share(level_dba, minutes * 60.0);
            assert!((share - 1.0).abs() < within, "{level_dba} dBA: {share}");
        }
    }

    /// The worked dose: 2 h at 90, 1 h at 95 and 4 h at 85 dBA are 255.4 % of NIOSH's day (computed from the formula of
    /// NIOSH 98-126 apart from this code).
    #[test]
    fn a_working_days_dose_adds_up() {
        let day = [(90.0, 2.0), (95.0, 1.0), (85.0, 4.0)];
        let share: f64 = day.iter().map(|(dba, hours)| niosh_day_share(*dba, hours * 3600.0)).sum();
        assert!((share - 2.554).abs() < 5e-4, "{share}");
    }

    /// ITU-T H.870: 1.6 Pa²h a week for adults; 80 dBA for 40 h, 90 dBA for 4 h.
    #[test]
    fn the_week_of_who_and_itu_goes_by_energy() {
        for (level_dba, hours) in [(80.0, 40.0), (90.0, 4.0), (83.0, 20.05), (100.0, 0.4)] {
            let share = who_week_share(level_dba, hours * 3600.0);
            assert!((share - 1.0).abs() < 1e-3, "{level_dba} dBA: {share}");
            let pascal_squared_hours = (20e-6f64).powi(2) * 10f64.powf(level_dba / 10.0) * hours;
            assert!((pascal_squared_hours - 1.6).abs() < 0.01);
        }
    }
}
