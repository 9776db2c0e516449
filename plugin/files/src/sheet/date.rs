//! Dates as they stand on a sheet: by the calendar, in UTC, which reads the same wherever the sheet is opened.

const MONTHS: [&str; 12] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];
/// Four hundred years of the Gregorian calendar are so many days (ISO 8601-1:2019, 4.2.1).
const CYCLE_DAYS: i64 = 146_097;
/// From 1 March of the year 0 to 1 January 1970.
const BEFORE_1970_DAYS: i64 = 719_468;
const DAY_S: i64 = 86_400;

/// A moment in seconds since 1970, to the minute. A dash for what is no number, or lies beyond the year 9999.
pub(super) fn date(unix_s: f64) -> String {
    /// The first second of the year 10000.
    const END_S: f64 = 253_402_300_800.0;
    if !(0.0..END_S).contains(&unix_s) {
        return super::figures::NOTHING.to_owned();
    }
    let seconds = unix_s as i64;
    // Years are counted from March, so that the leap day is a year's last.
    let days = seconds / DAY_S + BEFORE_1970_DAYS;
    let (cycle, day) = (days / CYCLE_DAYS, days % CYCLE_DAYS);
    let year = (day - day / 1460 + day / 36_524 - day / (CYCLE_DAYS - 1)) / 365;
    let day_of_year = day - (365 * year + year / 4 - year / 100);
    // From March on months of 31, 30, 31, 30, 31 days come in turn: 153 in five.
    let month = (5 * day_of_year + 2) / 153;
    let day_of_month = day_of_year - (153 * month + 2) / 5 + 1;
    let year = 400 * cycle + year + i64::from(month >= 10);
    let name = MONTHS[((month + 2) % 12) as usize];
    let minute = seconds % DAY_S / 60;
    format!("{day_of_month} {name} {year}, {:02}:{:02} UTC", minute / 60, minute % 60)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// As `date --utc --date=@SECONDS` of GNU coreutils 9.1 says.
    #[test]
    fn dates_are_those_of_the_calendar() {
        for (unix_s, said) in [
            (0.0, "1 January 1970, 00:00 UTC"),
            (951_782_400.0, "29 February 2000, 00:00 UTC"),
            (951_868_799.9, "29 February 2000, 23:59 UTC"),
            (951_868_800.0, "1 March 2000, 00:00 UTC"),
            (1_798_761_599.0, "31 December 2026, 23:59 UTC"),
            (4_107_542_400.0, "1 March 2100, 00:00 UTC"),
            (253_402_300_799.0, "31 December 9999, 23:59 UTC"),
            (253_402_300_800.0, "–"),
            (-1.0, "–"),
            (f64::NAN, "–"),
        ] {
            assert_eq!(date(unix_s), said);
        }
    }
}
