//! A yardstick as text, both ways.
//!
//! TOML that a person can read: a line that says what it is, the format's name and version, then one table
//! for each record with its bands one a line. Every figure is written with as many digits as it takes to read
//! it back exactly.

use std::fmt::Write as _;

use candlemark_session::yardstick::{Record, RecordBand, Yardstick};
use serde::Deserialize;
use toml::Value;

use crate::text_fault::{Flaw, TextFault};
use crate::text_format::TextFormat;
use crate::yardstick_figures::{check_figures, figures_of};
use crate::yardstick_name::fault_of;

/// The format that is written, and the latest version that can be read.
pub(crate) static FORMAT: TextFormat = TextFormat {
    name: "candlemark-yardstick",
    version: 1,
    called: "yardstick",
    made: "`candlemark yardstick take` makes one",
    spoilt: "is damaged",
    mended: "restore it from a copy, or take it anew",
    kinds: ["yardstick-foreign", "yardstick-newer", "yardstick-damaged", "yardstick-too-large"],
};

/// The whole file, in version 1.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Whole {
    #[serde(rename = "format")]
    _format: String,
    #[serde(rename = "version")]
    _version: i64,
    name: String,
    #[serde(default)]
    record: Vec<Record>,
}

/// The text of a yardstick. [`from_toml`] reads it back exactly.
pub fn to_toml(yardstick: &Yardstick) -> String {
    let mut text = format!(
        "# A yardstick of Candlemark: what was measured of the records it was taken from.\n\
         format = \"{}\"\nversion = {}\nname = {}\n",
        FORMAT.name,
        FORMAT.version,
        quoted(&yardstick.name)
    );
    for record in &yardstick.records {
        text.push_str("\n[[record]]\n");
        line(&mut text, "title", &quoted(&record.title));
        line(&mut text, "duration_s", &figure(record.duration_s));
        line(&mut text, "section", &record.section.to_string());
        for (key, value, _) in figures_of(record) {
            if let Some(value) = value {
                line(&mut text, key, &figure(value));
            }
        }
        text.push_str("band = [\n");
        for band in &record.bands {
            text.push_str(&band_line(band));
        }
        text.push_str("]\n");
    }
    text
}

/// Reads the text of a yardstick.
///
/// # Errors
///
/// When it is not a yardstick, of a later version, damaged (with the line), or holds a figure that can't be.
pub fn from_toml(text: &str) -> Result<Yardstick, TextFault> {
    let whole: Whole = FORMAT.read(text)?;
    let yardstick = Yardstick { name: whole.name, records: whole.record };
    check(&yardstick)?;
    Ok(yardstick)
}

/// Checks what holds of every yardstick.
pub(crate) fn check(yardstick: &Yardstick) -> Result<(), TextFault> {
    let checked = if let Some(fault) = fault_of(&yardstick.name) {
        Err(Flaw::of_all(format!("its `name` can't be one: {fault}")))
    } else if yardstick.records.is_empty() {
        Err(Flaw::of_all("there is no record in it"))
    } else {
        check_figures(yardstick)
    };
    checked.map_err(|flaw| FORMAT.fault(flaw))
}

fn line(text: &mut String, key: &str, value: &str) {
    let _ = writeln!(text, "{key} = {value}");
}

fn band_line(band: &RecordBand) -> String {
    let [hz, relative, low, high] = [band.hz, band.relative_db, band.low_db, band.high_db].map(figure);
    let fold = band.fold_db.map_or_else(String::new, |fold| format!(", fold_db = {}", figure(fold)));
    format!("  {{ hz = {hz}, relative_db = {relative}, low_db = {low}, high_db = {high}{fold} }},\n")
}

/// The shortest digits that read back as the same figure.
fn figure(value: f64) -> String {
    format!("{value:?}")
}

fn quoted(text: &str) -> String {
    Value::String(text.to_owned()).to_string()
}

/// Yardsticks to test with.
#[cfg(test)]
pub(crate) mod samples {
    use super::*;

    /// The same under another name.
    pub(crate) fn named(name: &str) -> Yardstick {
        Yardstick { name: name.to_owned(), ..yardstick() }
    }

    /// A small yardstick.
    pub(crate) fn yardstick() -> Yardstick {
        let band =
            |hz| RecordBand { hz, relative_db: -10.5, low_db: -12.0, high_db: -9.25, fold_db: Some(-0.5) };
        Yardstick {
            name: "Warm folk".to_owned(),
            records: vec![Record {
                title: "one.wav".to_owned(),
                duration_s: 215.3,
                section: false,
                integrated_lufs: -14.2,
                range_lu: Some(6.0),
                true_peak_dbtp: Some(-1.0),
                plr_db: Some(13.2),
                psr_loud_db: None,
                crest_db: None,
                fold_db: Some(-0.7),
                correlation: Some(0.85),
                bands: vec![band(63.0), band(1000.0)],
            }],
        }
    }
}

#[cfg(test)]
mod tests {
    use super::samples::yardstick;
    use super::*;
    use crate::text_format::samples::spoilt;
    use candlemark_analysis::bands::NOMINAL_HZ;
    use proptest::prelude::*;

    fn any_band(hz: f64) -> impl Strategy<Value = RecordBand> {
        let level = -300.0..50.0;
        (level.clone(), level, 0.0..50.0, prop::option::of(-399.0..=0.0)).prop_map(
            move |(relative_db, low_db, spread, fold_db)| RecordBand {
                hz,
                relative_db,
                low_db,
                high_db: low_db + spread,
                fold_db,
            },
        )
    }

    fn any_record() -> impl Strategy<Value = Record> {
        let bands = prop::sample::subsequence(NOMINAL_HZ.to_vec(), 1..=NOMINAL_HZ.len())
            .prop_flat_map(|hz| hz.into_iter().map(any_band).collect::<Vec<_>>());
        let figures = (
            prop::option::of(0.0..199.0),
            prop::option::of(-799.0..129.0),
            prop::option::of(-799.0..199.0),
            prop::option::of(-799.0..199.0),
            prop::option::of(-799.0..199.0),
            prop::option::of(-399.0..=0.0),
            prop::option::of(-1.0..=1.0),
        );
        (any::<String>(), 0.0..604_800.0, any::<bool>(), -70.0..129.0, figures, bands).prop_map(
            |(title, duration_s, section, integrated_lufs, figures, bands)| {
                let (range_lu, true_peak_dbtp, plr_db, psr_loud_db, crest_db, fold_db, correlation) = figures;
                Record {
                    title,
                    duration_s,
                    section,
                    integrated_lufs,
                    range_lu,
                    true_peak_dbtp,
                    plr_db,
                    psr_loud_db,
                    crest_db,
                    fold_db,
                    correlation,
                    bands,
                }
            },
        )
    }

    fn any_yardstick() -> impl Strategy<Value = Yardstick> {
        let name = any::<String>().prop_filter("a name", |name| fault_of(name).is_none());
        (name, prop::collection::vec(any_record(), 1..5))
            .prop_map(|(name, records)| Yardstick { name, records })
    }

    proptest! {
        #[test]
        fn what_is_written_is_read_back_exactly(yardstick in any_yardstick()) {
            let text = to_toml(&yardstick);
            let back = from_toml(&text).unwrap();
            prop_assert_eq!(&back, &yardstick);
            prop_assert_eq!(to_toml(&back), text);
        }

        #[test]
        fn damaged_text_is_read_or_refused(text in spoilt(to_toml(&yardstick()))) {
            if let Ok(read) = from_toml(&text) {
                prop_assert!(check(&read).is_ok());
            }
        }
    }

    #[test]
    fn a_record_is_a_page_that_a_person_can_read() {
        let text = to_toml(&yardstick());
        assert!(text.starts_with("# "), "{text}");
        assert!(text.contains("\n[[record]]\ntitle = \"one.wav\"\n"), "{text}");
        let band = "  { hz = 63.0, relative_db = -10.5, low_db = -12.0, high_db = -9.25, fold_db = -0.5 },\n";
        assert!(text.contains(band), "{text}");
        assert!(!text.contains("psr_loud_db"), "an undefined figure is absent: {text}");
    }

    #[test]
    fn what_is_not_a_yardstick_is_told_from_a_damaged_one() {
        let text = to_toml(&yardstick());
        for foreign in ["", "[package]\nname = \"x\"\n", "not = [toml", &text.replace(FORMAT.name, "other")] {
            assert_eq!(from_toml(foreign), Err(FORMAT.fault(Flaw::Foreign)), "{foreign:?}");
        }
        let newer = text.replace("version = 1", "version = 2\nbetter = true");
        assert_eq!(from_toml(&newer), Err(FORMAT.fault(Flaw::Newer(2))));
        for damaged in [
            text.replace("version = 1", "version = \"one\""),
            text.replace("version = 1", "version = 0"),
            text.replace("Warm folk", "../folk"),
            text.replace("section = false", "section = 3"),
            text.replace("range_lu", "range"),
            text.split_once("\n[[record]]").unwrap().0.to_owned(),
        ] {
            let fault = from_toml(&damaged).unwrap_err();
            assert_eq!(fault.kind(), "yardstick-damaged", "{fault}");
        }
    }

    #[test]
    fn a_damaged_line_is_named() {
        let text = to_toml(&yardstick()).replace("section = false", "section = fal se");
        let wanted = 1 + text.lines().position(|line| line.starts_with("section")).unwrap();
        match from_toml(&text).map_err(|fault| fault.flaw) {
            Err(Flaw::Damaged { line, .. }) => assert_eq!(line, Some(wanted)),
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn figures_that_are_no_numbers_are_refused() {
        for bad in ["nan", "inf", "-inf", "1e9"] {
            let text =
                to_toml(&yardstick()).replace("integrated_lufs = -14.2", &format!("integrated_lufs = {bad}"));
            assert_eq!(from_toml(&text).unwrap_err().kind(), "yardstick-figure", "{bad}");
        }
    }
}
