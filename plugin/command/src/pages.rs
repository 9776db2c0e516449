//! What is printed for people.

use std::fmt::Write as _;
use std::path::Path;

use candlemark_analysis::{Channels, Db, Lufs};
use candlemark_files::{Measured, Shelf, ShelfEntry};
use candlemark_session::comparison::{BandComparison, Comparison, RECORDS_TO_JUDGE, RecordFigures};
use candlemark_session::figures::{BandFigures, Fold, SongFigures};
use candlemark_session::octave_groups::OctaveGroup;
use candlemark_session::words::{clock, hertz, length, number, records, shown, signed};
use candlemark_session::yardstick::Yardstick;

use crate::measure::Beside;
use crate::{delivery, elsewhere, sentences};

/// What does not exist is a dash, never a zero.
const NOTHING: &str = "–";

pub(crate) fn or_nothing(text: Option<String>) -> String {
    text.unwrap_or_else(|| NOTHING.to_owned())
}

pub(crate) fn lufs(value: Option<Lufs>) -> String {
    or_nothing(value.map(|lufs| number(lufs.0, 1)))
}

fn db(value: Option<Db>) -> String {
    or_nothing(value.map(|db| number(db.0, 1)))
}

/// The octave groups as heads of columns.
pub(crate) fn group_names() -> String {
    OctaveGroup::ALL.map(|group| format!("{:>11}", group.name())).concat()
}

/// What each of them has moved by, under its head.
pub(crate) fn group_cells(groups_db: [Option<f64>; OctaveGroup::ALL.len()]) -> String {
    groups_db.map(|db| format!("{:>11}", or_nothing(db.map(|db| signed(db, 1))))).concat()
}

/// The records' lowest and highest, where there are records.
fn of_records(reach: Option<[f64; 2]>, decimals: usize) -> String {
    reach.map_or_else(String::new, |[low, high]| {
        format!("   records {} to {}", number(low, decimals), number(high, decimals))
    })
}

/// One measured file: what there is to say of it first, then its figures.
pub(crate) fn song(path: &Path, measured: &Measured, beside: &Beside<'_>) -> String {
    let song = &measured.figures;
    let channels = if measured.info.channels.count() == 1 { "mono" } else { "stereo" };
    let mut page = format!(
        "{}\n  {} of {channels} at {} kHz\n\n",
        shown(path.display()),
        length(song.duration_s),
        measured.info.sample_rate.0 / 1000.0
    );
    page.push_str(&sentences::numbered(&beside.remarks));
    let records = beside.comparison.as_ref().map(|comparison| comparison.figures).unwrap_or_default();
    loudness(&mut page, song, &records);
    mono(&mut page, song, measured.info.channels, &records);
    page.push_str(&elsewhere::part(&beside.elsewhere));
    health(&mut page, measured.health_words());
    if let Some(delivered) = &beside.delivered {
        page.push_str(&delivery::part(delivered));
    }
    page.push('\n');
    match &beside.comparison {
        Some(comparison) => balance_beside(&mut page, song, comparison),
        None => balance(&mut page, song),
    }
    page
}

fn loudness(page: &mut String, song: &SongFigures, records: &RecordFigures) {
    let range = or_nothing(song.range_lu.map(|lu| number(lu, 1)));
    let _ = writeln!(page, "  loudness     {} LUFS", lufs(song.integrated));
    let _ = writeln!(page, "               range {range} LU{}", of_records(records.range_lu, 1));
    let _ = writeln!(
        page,
        "               loudest 3 s {} LUFS, loudest 0.4 s {} LUFS",
        lufs(song.short_term_max),
        lufs(song.momentary_max)
    );
    let _ = writeln!(
        page,
        "  dynamics     loud parts {} dB (PSR){}",
        db(song.psr_loud),
        of_records(records.psr_loud_db, 1)
    );
    let _ = writeln!(page, "               whole {} dB (PLR){}", db(song.plr), of_records(records.plr_db, 1));
    let _ = writeln!(
        page,
        "               crest factor {} dB{}",
        db(song.crest),
        of_records(records.crest_db, 1)
    );
    let peak = |peak: Option<Db>| or_nothing(peak.map(|db| signed(db.0, 1)));
    let _ = writeln!(
        page,
        "               true peak {} dBTP, sample peak {} dBFS",
        peak(song.true_peak_dbtp),
        peak(song.sample_peak_dbfs)
    );
}

/// What is said of a fold of which nothing is left.
const LOST: &str = "lost in mono";

fn mono(page: &mut String, song: &SongFigures, channels: Channels, records: &RecordFigures) {
    if channels == Channels::Mono {
        let _ = writeln!(page, "  mono         it is");
        return;
    }
    let fold = |fold: Fold| match (fold.db(), fold.kept) {
        (Some(db), _) => format!("{} dB", number(db.0, 2)),
        (None, Some(_)) => LOST.to_owned(),
        (None, None) => NOTHING.to_owned(),
    };
    let _ = writeln!(page, "  mono         fold {}{}", fold(song.fold), of_records(records.fold_db, 2));
    if let Some(worst) = song.fold_worst {
        let _ = writeln!(
            page,
            "               at worst {}, in the 10 s from {}",
            fold(worst.fold),
            clock(worst.at_s)
        );
    }
    let correlation = or_nothing(song.correlation.map(|r| signed(r, 2)));
    let _ = writeln!(page, "               correlation {correlation}");
}

fn health(page: &mut String, mut said: Vec<String>) {
    if said.is_empty() {
        said.push("nothing to say".to_owned());
    }
    let _ = writeln!(page, "  health       {}", said.join("\n               "));
}

fn band_figures(band: &BandFigures) -> [String; 3] {
    let fold = match (band.fold.db(), band.fold.kept) {
        (None, Some(_)) => "lost".to_owned(),
        (fold, _) => or_nothing(fold.map(|db| number(db.0, 1))),
    };
    let relative = or_nothing(band.relative.map(|spread| number(spread.median_db, 1)));
    [relative, fold, or_nothing(band.correlation.map(|r| signed(r, 2)))]
}

fn balance(page: &mut String, song: &SongFigures) {
    let _ = writeln!(page, "  balance      each third octave, dB relative to the loudness of the same 3 s");
    let _ = writeln!(page, "{:>11}{:>10}{:>8}{:>13}", "Hz", "relative", "fold", "correlation");
    for band in &song.bands {
        let [relative, fold, correlation] = band_figures(band);
        let _ = writeln!(page, "{:>11}{relative:>10}{fold:>8}{correlation:>13}", hertz(band.nominal.0));
    }
}

fn balance_beside(page: &mut String, song: &SongFigures, comparison: &Comparison) {
    let _ = writeln!(
        page,
        "  balance      against \"{}\" ({}), loudness matched,\n               dB from the middle of the records",
        shown(&comparison.name),
        records(comparison.records)
    );
    if comparison.records < RECORDS_TO_JUDGE {
        let _ = writeln!(page, "               with fewer than three records nothing is called outside");
    } else {
        let (outside, all) = (comparison.outside_count(), comparison.bands.len());
        let _ = writeln!(page, "               outside the records in {outside} of {all} bands");
    }
    if let Some(distance) = comparison.distance_db {
        let _ = writeln!(page, "               {} dB from the middle on average (rms)", number(distance, 1));
    }
    let _ = writeln!(
        page,
        "{:>11}{:>9}{:>17}  {:<7}{:>7}{:>13}",
        "Hz", "song", "records", "", "fold", "correlation"
    );
    for band in &comparison.bands {
        let Some(figures) = song.bands.iter().find(|b| b.nominal == band.nominal) else { continue };
        let [_, fold, correlation] = band_figures(figures);
        let BandComparison { nominal, off_db, low_db, high_db, outside, .. } = *band;
        let reach = format!("{} to {}", signed(low_db, 1), signed(high_db, 1));
        let verdict = match (outside, off_db > high_db) {
            (false, _) => "",
            (true, true) => "above",
            (true, false) => "below",
        };
        let _ = writeln!(
            page,
            "{:>11}{:>9}{reach:>17}  {verdict:<7}{fold:>7}{correlation:>13}",
            hertz(nominal.0),
            signed(off_db, 1)
        );
    }
}

/// A yardstick that has just been taken.
pub(crate) fn taken(yardstick: &Yardstick, path: &Path) -> String {
    let mut page = format!(
        "took \"{}\" from {}\n  kept in {}\n",
        shown(&yardstick.name),
        records(yardstick.records.len()),
        shown(path.display())
    );
    record_list(&mut page, yardstick);
    if yardstick.records.len() < RECORDS_TO_JUDGE {
        page.push_str("\n  With three records or more, a mix can be called outside them.\n");
    }
    page
}

/// A yardstick that has just come in from a file.
pub(crate) fn imported(yardstick: &Yardstick, path: &Path) -> String {
    let mut page = format!(
        "\"{}\" is on your shelf now, {}\n  kept in {}\n",
        shown(&yardstick.name),
        records(yardstick.records.len()),
        shown(path.display())
    );
    record_list(&mut page, yardstick);
    page.trim_end().to_owned()
}

fn record_list(page: &mut String, yardstick: &Yardstick) {
    for record in &yardstick.records {
        let section = if record.section { ", a section: under a minute of sound" } else { "" };
        let _ = writeln!(
            page,
            "  {}: {}, {} LUFS, range {} LU, loud parts {} dB, whole {} dB, crest {} dB, fold {} dB{section}",
            shown(&record.title),
            length(record.duration_s),
            number(record.integrated_lufs, 1),
            or_nothing(record.range_lu.map(|lu| number(lu, 1))),
            or_nothing(record.psr_loud_db.map(|db| number(db, 1))),
            or_nothing(record.plr_db.map(|db| number(db, 1))),
            or_nothing(record.crest_db.map(|db| number(db, 1))),
            or_nothing(record.fold_db.map(|db| number(db, 1))),
        );
    }
}

/// The shelf.
pub(crate) fn shelf(shelf: &Shelf, entries: &[ShelfEntry]) -> String {
    if entries.is_empty() {
        return format!(
            "no yardsticks in {}\ntake one: candlemark yardstick take RECORD… --name NAME",
            shown(shelf.folder().display())
        );
    }
    let mut page = format!("yardsticks in {}\n", shown(shelf.folder().display()));
    for entry in entries {
        let what = match &entry.yardstick {
            Ok(yardstick) => records(yardstick.records.len()),
            Err(_) => "can't be read, see above".to_owned(),
        };
        let _ = writeln!(page, "  {}: {what}", shown(&entry.name));
    }
    page.trim_end().to_owned()
}

/// A yardstick in full.
pub(crate) fn yardstick(yardstick: &Yardstick) -> String {
    let mut page = format!("\"{}\", {}\n", shown(&yardstick.name), records(yardstick.records.len()));
    record_list(&mut page, yardstick);
    page.push_str("\n  each third octave, dB relative to the loudness of the same 3 s; in the last column,\n  where the quieter and the louder moments of the records lie\n");
    let _ = writeln!(
        page,
        "{:>11}{:>9}{:>9}{:>9}{:>20}",
        "Hz", "lowest", "middle", "highest", "10 to 90 % of it"
    );
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
    page.trim_end().to_owned()
}
