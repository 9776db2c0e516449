//! What is printed for people.

use std::fmt::Write as _;
use std::path::Path;

use candlemark_analysis::{Db, Lufs};
use candlemark_files::{Measured, Shelf, ShelfEntry};
use candlemark_session::comparison::{BandComparison, Comparison, RECORDS_TO_JUDGE};
use candlemark_session::figures::{BandFigures, SongFigures};
use candlemark_session::yardstick::Yardstick;

/// What does not exist is a dash, never a zero.
const NOTHING: &str = "–";

/// A number with a real minus sign.
fn number(value: f64, decimals: usize) -> String {
    let text = format!("{:.decimals$}", value.abs());
    // What rounds to zero has no sign.
    if value < 0.0 && text.bytes().any(|b| (b'1'..=b'9').contains(&b)) { format!("−{text}") } else { text }
}

fn signed(value: f64, decimals: usize) -> String {
    let text = number(value, decimals);
    if value > 0.0 && text.bytes().any(|b| (b'1'..=b'9').contains(&b)) { format!("+{text}") } else { text }
}

fn or_nothing(text: Option<String>) -> String {
    text.unwrap_or_else(|| NOTHING.to_owned())
}

fn lufs(value: Option<Lufs>) -> String {
    or_nothing(value.map(|lufs| number(lufs.0, 1)))
}

fn db(value: Option<Db>) -> String {
    or_nothing(value.map(|db| number(db.0, 1)))
}

/// Minutes and seconds.
fn clock(seconds: f64) -> String {
    let whole = seconds as u64;
    format!("{}:{:02}", whole / 60, whole % 60)
}

fn hertz(hz: f64) -> String {
    if hz >= 1000.0 { format!("{}k", hz / 1000.0) } else { format!("{hz}") }
}

/// One measured file.
pub(crate) fn song(path: &Path, measured: &Measured, beside: Option<&Comparison>) -> String {
    let song = &measured.figures;
    let channels = if measured.info.channels.count() == 1 { "mono" } else { "stereo" };
    let mut page = format!(
        "{}\n  {} of {channels} at {} kHz\n\n",
        path.display(),
        clock(song.duration_s),
        measured.info.sample_rate.0 / 1000.0
    );
    loudness(&mut page, song);
    mono(&mut page, song);
    health(&mut page, song);
    match beside {
        Some(comparison) => balance_beside(&mut page, song, comparison),
        None => balance(&mut page, song),
    }
    page
}

fn loudness(page: &mut String, song: &SongFigures) {
    let range = or_nothing(song.range_lu.map(|lu| number(lu, 1)));
    let _ = writeln!(page, "  loudness     {} LUFS, range {range} LU", lufs(song.integrated));
    let _ = writeln!(
        page,
        "               at most {} LUFS over 3 s and {} over 0.4 s",
        lufs(song.short_term_max),
        lufs(song.momentary_max)
    );
    let _ = writeln!(
        page,
        "  dynamics     loud parts {} dB (PSR), whole {} dB (PLR)",
        db(song.psr_loud),
        db(song.plr)
    );
    let _ = writeln!(
        page,
        "               true peak {} dBTP, sample peak {} dBFS",
        db(song.true_peak_dbtp),
        db(song.sample_peak_dbfs)
    );
}

fn mono(page: &mut String, song: &SongFigures) {
    let fold = match (song.fold.db(), song.fold.kept) {
        (Some(db), _) => format!("{} dB", number(db.0, 2)),
        (None, Some(_)) => "nothing is left".to_owned(),
        (None, None) => NOTHING.to_owned(),
    };
    let worst = song.fold_worst.map_or_else(String::new, |worst| {
        let lost =
            worst.fold.db().map_or_else(|| "all lost".to_owned(), |db| format!("{} dB", number(db.0, 2)));
        format!(", worst {lost} in the 10 s from {}", clock(worst.at_s))
    });
    let _ = writeln!(page, "  mono         fold {fold}{worst}");
    let correlation = or_nothing(song.correlation.map(|r| signed(r, 2)));
    let _ = writeln!(page, "               correlation {correlation}");
}

fn health(page: &mut String, song: &SongFigures) {
    let health = &song.health;
    let mut said = Vec::new();
    let count = |n: u64, one: &str, more: &str| format!("{n} {}", if n == 1 { one } else { more });
    if health.overs > 0 {
        said.push(count(health.overs, "tenth of a second over 0 dBTP", "tenths of a second over 0 dBTP"));
    }
    if health.clipped_runs > 0 {
        said.push(count(health.clipped_runs, "clipped run", "clipped runs"));
    }
    if health.non_finite > 0 {
        said.push(count(health.non_finite, "sample that is no number", "samples that are no numbers"));
    }
    if health.dc_left.abs().max(health.dc_right.abs()) >= DC_WORTH_SAYING {
        said.push(format!("DC {} left, {} right", signed(health.dc_left, 4), signed(health.dc_right, 4)));
    }
    if let Some(Db(db)) = health.imbalance {
        let side = if db > 0.0 { "left" } else { "right" };
        if db.abs() >= 0.05 {
            said.push(format!("{side} {} dB louder", number(db.abs(), 1)));
        }
    }
    let said = if said.is_empty() { "nothing to say".to_owned() } else { said.join(", ") };
    let _ = writeln!(page, "  health       {said}\n");
}

/// DC under −60 dBFS is the rounding and the noise of converters (common practice, no source).
const DC_WORTH_SAYING: f64 = 0.001;

fn band_figures(band: &BandFigures) -> [String; 3] {
    let fold = match (band.fold.db(), band.fold.kept) {
        (None, Some(_)) => "lost".to_owned(),
        (fold, _) => or_nothing(fold.map(|db| number(db.0, 1))),
    };
    let relative = or_nothing(band.relative.map(|spread| number(spread.median_db, 1)));
    [relative, fold, or_nothing(band.correlation.map(|r| signed(r, 2)))]
}

fn balance(page: &mut String, song: &SongFigures) {
    let _ = writeln!(page, "  balance      level of each third octave against the loudness around it, dB");
    let _ = writeln!(page, "{:>11}{:>10}{:>8}{:>13}", "Hz", "level", "fold", "correlation");
    for band in &song.bands {
        let [relative, fold, correlation] = band_figures(band);
        let _ = writeln!(page, "{:>11}{relative:>10}{fold:>8}{correlation:>13}", hertz(band.nominal.0));
    }
}

fn balance_beside(page: &mut String, song: &SongFigures, comparison: &Comparison) {
    let _ = writeln!(
        page,
        "  balance      against \"{}\" ({}), loudness matched, dB from the middle record",
        comparison.name,
        records(comparison.records)
    );
    if let Some(distance) = comparison.distance_db {
        let _ = writeln!(page, "               {} dB apart over all bands", number(distance, 1));
    }
    if comparison.records < RECORDS_TO_JUDGE {
        let _ = writeln!(page, "               with fewer than three records nothing is called outside");
    }
    let _ = writeln!(page, "{:>11}{:>10}{:>16}{:>8}{:>13}", "Hz", "song", "records", "fold", "correlation");
    for band in &comparison.bands {
        let Some(figures) = song.bands.iter().find(|b| b.nominal == band.nominal) else { continue };
        let [_, fold, correlation] = band_figures(figures);
        let BandComparison { nominal, off_db, low_db, high_db, outside } = *band;
        let reach = format!("{} to {}", signed(low_db, 1), signed(high_db, 1));
        let word = if outside { "  outside" } else { "" };
        let _ = writeln!(
            page,
            "{:>11}{:>10}{reach:>16}{fold:>8}{correlation:>13}{word}",
            hertz(nominal.0),
            signed(off_db, 1)
        );
    }
}

fn records(count: usize) -> String {
    if count == 1 { "1 record".to_owned() } else { format!("{count} records") }
}

/// A yardstick that has just been taken.
pub(crate) fn taken(yardstick: &Yardstick, path: &Path) -> String {
    let mut page = format!(
        "took \"{}\" from {}\n  kept in {}\n",
        yardstick.name,
        records(yardstick.records.len()),
        path.display()
    );
    record_list(&mut page, yardstick);
    if yardstick.records.len() < RECORDS_TO_JUDGE {
        page.push_str("\n  With three records or more, a mix can be called outside them.\n");
    }
    page
}

fn record_list(page: &mut String, yardstick: &Yardstick) {
    for record in &yardstick.records {
        let section = if record.section { ", a section: under a minute of sound" } else { "" };
        let _ = writeln!(
            page,
            "  {}: {}, {} LUFS, range {} LU, loud parts {} dB, fold {} dB{section}",
            record.title,
            clock(record.duration_s),
            number(record.integrated_lufs, 1),
            or_nothing(record.range_lu.map(|lu| number(lu, 1))),
            or_nothing(record.psr_loud_db.map(|db| number(db, 1))),
            or_nothing(record.fold_db.map(|db| number(db, 1))),
        );
    }
}

/// The shelf.
pub(crate) fn shelf(shelf: &Shelf, entries: &[ShelfEntry]) -> String {
    if entries.is_empty() {
        return format!(
            "no yardsticks in {}\ntake one: candlemark yardstick take RECORD… --name NAME",
            shelf.folder().display()
        );
    }
    let mut page = format!("yardsticks in {}\n", shelf.folder().display());
    for entry in entries {
        let what = match &entry.yardstick {
            Ok(yardstick) => records(yardstick.records.len()),
            Err(_) => "can't be read, see above".to_owned(),
        };
        let _ = writeln!(page, "  {}: {what}", entry.name);
    }
    page.truncate(page.trim_end().len());
    page
}

/// A yardstick in full.
pub(crate) fn yardstick(yardstick: &Yardstick) -> String {
    let mut page = format!("\"{}\", {}\n", yardstick.name, records(yardstick.records.len()));
    record_list(&mut page, yardstick);
    page.push_str("\n  level of each third octave against the loudness around it, dB\n");
    let _ =
        writeln!(page, "{:>11}{:>9}{:>9}{:>9}{:>20}", "Hz", "lowest", "middle", "highest", "within a record");
    for (nominal, point) in yardstick.curve() {
        let within = format!("{} to {}", number(point.within_low_db, 1), number(point.within_high_db, 1));
        let _ = writeln!(
            page,
            "{:>11}{:>9}{:>9}{:>9}{within:>20}",
            hertz(nominal.0),
            number(point.low_db, 1),
            number(point.middle_db, 1),
            number(point.high_db, 1)
        );
    }
    page.truncate(page.trim_end().len());
    page
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_rounds_to_zero_has_no_sign() {
        assert_eq!(number(-0.04, 1), "0.0");
        assert_eq!(signed(0.04, 1), "0.0");
        assert_eq!(signed(0.05, 2), "+0.05");
        assert_eq!(number(-3.01, 1), "−3.0");
    }

    #[test]
    fn times_are_minutes_and_seconds() {
        assert_eq!(clock(0.0), "0:00");
        assert_eq!(clock(61.9), "1:01");
        assert_eq!(clock(3600.0), "60:00");
    }
}
