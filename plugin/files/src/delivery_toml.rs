//! A delivery profile as text that a person writes.
//!
//! TOML: the format's name and version, where the figures are from, and under `[hold]` a line for each figure that must
//! hold. What is not known is refused: a limit that is misspelt would otherwise hold for ever.

use std::collections::BTreeMap;

use candlemark_session::delivery::{Figure, Limit, Profile, Standing};
use serde::Deserialize;
use toml::{Spanned, Value};

use crate::text_fault::{Flaw, TextFault};
use crate::text_format::{TextFormat, line_of};

/// The format, and the latest version that can be read.
pub(crate) static FORMAT: TextFormat = TextFormat {
    name: "candlemark-delivery",
    version: 1,
    called: "delivery profile",
    made: "`candlemark delivery show ebu-r128` prints one to begin with",
    spoilt: "can't be used",
    mended: "mend that line",
    kinds: ["delivery-foreign", "delivery-newer", "delivery-damaged", "delivery-too-large"],
};

/// The whole file, in version 1.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Whole {
    #[serde(rename = "format")]
    _format: String,
    #[serde(rename = "version")]
    _version: i64,
    #[serde(default)]
    source: String,
    #[serde(default)]
    standing: Standing,
    #[serde(default)]
    note: String,
    hold: BTreeMap<Figure, Spanned<Limit>>,
}

/// Reads the text of a delivery profile; its name is its file's.
///
/// # Errors
///
/// When it is not one, of a later version, holds what is not known (with the line), or asks for what can't be.
pub fn delivery_of_toml(name: &str, text: &str) -> Result<Profile, TextFault> {
    let whole: Whole = FORMAT.read(text)?;
    if whole.hold.is_empty() {
        let flaw = Flaw::of_all("there is nothing under `[hold]`; name a figure and its limit");
        return Err(FORMAT.fault(flaw));
    }
    let mut limits = Vec::new();
    for (figure, limit) in whole.hold {
        let line = line_of(text, limit.span().start);
        let limit = limit.into_inner();
        limit.check(figure).map_err(|why| FORMAT.fault(Flaw::Limit { line, figure: key(figure), why }))?;
        limits.push((figure, limit));
    }
    Ok(Profile {
        name: name.to_owned(),
        source: whole.source,
        standing: whole.standing,
        note: whole.note,
        limits,
    })
}

/// A figure's key, as it is written.
fn key(figure: Figure) -> String {
    Value::try_from(figure).ok().as_ref().and_then(Value::as_str).unwrap_or_default().to_owned()
}

#[cfg(test)]
mod tests {
    use std::fmt::Write as _;

    use candlemark_session::delivery::BadLimit;
    use proptest::prelude::*;

    use super::*;
    use crate::text_format::samples::spoilt;

    const GOOD: &str = "format = \"candlemark-delivery\"\nversion = 1\nsource = \"the choir's own\"\n\n[hold]\n\
                        integrated_lufs = { lowest = -17, highest = -15.5 }\nsample_rate_hz = { one_of = [44100, 48000] }\n\
                        clipped_runs = { highest = 0 }\n";

    fn fault(text: &str) -> TextFault {
        delivery_of_toml("mine", text).unwrap_err()
    }

    #[test]
    fn a_person_can_write_one() {
        let profile = delivery_of_toml("mine", GOOD).unwrap();
        assert_eq!((profile.name.as_str(), profile.source.as_str()), ("mine", "the choir's own"));
        assert_eq!(profile.standing, Standing::Own);
        let figures: Vec<Figure> = profile.limits.iter().map(|(figure, _)| *figure).collect();
        assert_eq!(figures, [Figure::IntegratedLufs, Figure::ClippedRuns, Figure::SampleRateHz]);
        assert_eq!(profile.limits[0].1.highest, Some(-15.5));
        assert_eq!(profile.limits[2].1.one_of, [44_100.0, 48_000.0]);
    }

    #[test]
    fn what_is_not_known_is_refused_in_its_line() {
        for (good, bad, line) in [
            ("source", "sauce", 3),
            ("integrated_lufs", "integrated", 6),
            ("one_of", "any_of", 7),
            ("highest = 0", "highest = \"none\"", 8),
            ("[hold]", "[hold", 5),
        ] {
            let text = GOOD.replace(good, bad);
            match fault(&text).flaw {
                Flaw::Damaged { line: told, what } => assert_eq!(told, Some(line), "{bad}: {what}"),
                other => panic!("{bad}: {other:?}"),
            }
        }
    }

    #[test]
    fn what_can_not_be_asked_for_is_refused_in_its_line() {
        for (bad, why) in [
            ("{ lowest = -15, highest = -17 }", BadLimit::Crossed),
            ("{}", BadLimit::Empty),
            ("{ one_of = [-16], highest = -15 }", BadLimit::TwoWays),
            ("{ highest = 14 }", BadLimit::Impossible { value: 14.0, lowest: -70.0, highest: 10.0 }),
        ] {
            let text = GOOD.replace("{ lowest = -17, highest = -15.5 }", bad);
            let figure = "integrated_lufs".to_owned();
            assert_eq!(fault(&text).flaw, Flaw::Limit { line: 6, figure, why }, "{bad}");
        }
        for bad in ["nan", "inf", "-inf"] {
            let text = GOOD.replace("-15.5", bad);
            assert_eq!(fault(&text).kind(), "delivery-limit", "{bad}");
        }
    }

    #[test]
    fn what_is_foreign_newer_or_empty_is_told_apart() {
        for foreign in ["", "[package]\nname = \"x\"", "not = [toml", &GOOD.replace(FORMAT.name, "other")] {
            assert_eq!(fault(foreign).flaw, Flaw::Foreign, "{foreign:?}");
        }
        let newer = GOOD.replace("version = 1", "version = 2\nbetter = true");
        assert_eq!(fault(&newer).flaw, Flaw::Newer(2));
        let (heading, _) = GOOD.split_once("integrated").unwrap();
        for damaged in
            [heading, &GOOD.replace("version = 1", "version = 0"), heading.trim_end_matches("[hold]\n")]
        {
            assert_eq!(fault(damaged).kind(), "delivery-damaged", "{damaged:?}");
        }
    }

    fn any_limit(figure: Figure) -> impl Strategy<Value = (Figure, Limit)> {
        let [low, high] = figure.possible();
        let ends = (prop::option::of(low..=high), prop::option::of(low..=high));
        let reach = ends.prop_filter_map("asks for something", |(one, other)| {
            let crossed = one.zip(other).is_some_and(|(one, other)| one > other);
            let (lowest, highest) = if crossed { (other, one) } else { (one, other) };
            (one.is_some() || other.is_some()).then_some(Limit { lowest, highest, one_of: Vec::new() })
        });
        let few =
            prop::collection::vec(low..=high, 1..4).prop_map(|one_of| Limit { one_of, ..Limit::default() });
        prop_oneof![reach, few].prop_map(move |limit| (figure, limit))
    }

    fn written(limits: &[(Figure, Limit)]) -> String {
        let mut text = format!("format = \"{}\"\nversion = 1\n[hold]\n", FORMAT.name);
        for (figure, limit) in limits {
            writeln!(text, "{} = {}", key(*figure), Value::try_from(limit).unwrap()).unwrap();
        }
        text
    }

    proptest! {
        #[test]
        fn every_limit_that_can_be_written_is_read_as_it_was_written(
            limits in prop::sample::subsequence(Figure::ALL.to_vec(), 1..=Figure::ALL.len())
                .prop_flat_map(|figures| figures.into_iter().map(any_limit).collect::<Vec<_>>())
        ) {
            prop_assert_eq!(delivery_of_toml("x", &written(&limits)).unwrap().limits, limits);
        }

        #[test]
        fn damaged_text_is_read_or_refused(text in spoilt(GOOD.to_owned())) {
            if let Ok(read) = delivery_of_toml("x", &text) {
                prop_assert!(!read.limits.is_empty());
                prop_assert!(read.limits.iter().all(|(figure, limit)| limit.check(*figure).is_ok()));
            }
        }
    }
}
