//! The object of `measure --json`, to the letter: which keys, in which order, of which type, and which of them
//! are null for which file.

use std::collections::BTreeSet;

use candlemark_tests::command::{Home, Run};
use candlemark_tests::sound::Sound;

use crate::files::{RATE, noise, take, wav};
use crate::ordered_json::{Json, Shape};

use Shape::{Any, ListOf, Number, Object, OrNull, Text, Truth, Whole};

const NUMBER_OR_NULL: Shape = OrNull(&Number);

const REPORT: Shape =
    Object(&[("candlemark", Text), ("files", ListOf(&FILE)), ("side_by_side", OrNull(&SIDE_BY_SIDE))]);

const SIDE_BY_SIDE: Shape = Object(&[
    (
        "songs",
        ListOf(&Object(&[
            ("loudness_lu", NUMBER_OR_NULL),
            ("balance_db", NUMBER_OR_NULL),
            ("groups_db", ListOf(&NUMBER_OR_NULL)),
        ])),
    ),
    (
        "odd",
        ListOf(&Object(&[("song", Whole), ("odd_in", Text), ("apart_db", Number), ("others_db", Number)])),
    ),
]);

const FILE: Shape = Object(&[
    ("path", Text),
    ("error", OrNull(&Object(&[("kind", Text), ("message", Text)]))),
    ("sample_rate_hz", NUMBER_OR_NULL),
    ("channels", OrNull(&Whole)),
    ("duration_s", NUMBER_OR_NULL),
    ("integrated_lufs", NUMBER_OR_NULL),
    ("momentary_max_lufs", NUMBER_OR_NULL),
    ("short_term_max_lufs", NUMBER_OR_NULL),
    ("range_lu", NUMBER_OR_NULL),
    ("true_peak_dbtp", NUMBER_OR_NULL),
    ("sample_peak_dbfs", NUMBER_OR_NULL),
    ("plr_db", NUMBER_OR_NULL),
    ("psr_loud_db", NUMBER_OR_NULL),
    ("crest_db", NUMBER_OR_NULL),
    ("fold_db", NUMBER_OR_NULL),
    ("fold_kept", NUMBER_OR_NULL),
    ("fold_worst", OrNull(&Object(&[("db", NUMBER_OR_NULL), ("at_s", Number)]))),
    ("correlation", NUMBER_OR_NULL),
    ("bands", ListOf(&BAND)),
    ("health", OrNull(&HEALTH)),
    ("elsewhere", ListOf(&ELSEWHERE)),
    ("yardstick", OrNull(&YARDSTICK)),
    ("delivery", OrNull(&DELIVERY)),
    ("remarks", ListOf(&REMARK)),
]);

const BAND: Shape = Object(&[
    ("hz", Number),
    ("level_db", NUMBER_OR_NULL),
    ("relative_db", NUMBER_OR_NULL),
    ("fold_db", NUMBER_OR_NULL),
    ("fold_kept", NUMBER_OR_NULL),
    ("correlation", NUMBER_OR_NULL),
]);

const HEALTH: Shape = Object(&[
    ("dc_left", Number),
    ("dc_right", Number),
    ("clipped_runs", Whole),
    ("overs", Whole),
    ("imbalance_db", NUMBER_OR_NULL),
    ("non_finite", Whole),
]);

const YARDSTICK: Shape = Object(&[
    ("name", Text),
    ("records", Whole),
    ("distance_db", NUMBER_OR_NULL),
    (
        "bands",
        ListOf(&Object(&[
            ("hz", Number),
            ("off_db", Number),
            ("low_db", Number),
            ("high_db", Number),
            ("outside", Truth),
        ])),
    ),
]);

const ELSEWHERE: Shape = Object(&[
    ("playback", Text),
    ("speakers", Whole),
    ("range_hz", ListOf(&Number)),
    ("kept_db", NUMBER_OR_NULL),
    ("records_db", OrNull(&ListOf(&Number))),
]);

const DELIVERY: Shape = Object(&[
    ("name", Text),
    ("source", Text),
    ("standing", Text),
    ("held", Truth),
    (
        "lines",
        ListOf(&Object(&[
            ("figure", Text),
            ("verdict", Text),
            ("value", NUMBER_OR_NULL),
            ("lowest", NUMBER_OR_NULL),
            ("highest", NUMBER_OR_NULL),
            ("one_of", OrNull(&ListOf(&Number))),
            ("distance", NUMBER_OR_NULL),
            ("why", OrNull(&Text)),
        ])),
    ),
]);

const REMARK: Shape = Object(&[
    ("id", Text),
    ("text", Text),
    ("urgency", Text),
    (
        "evidence",
        Object(&[("figure", Any), ("bands_hz", OrNull(&ListOf(&Number))), ("at_s", NUMBER_OR_NULL)]),
    ),
]);

/// Long enough for a worst ten seconds.
const SECONDS: f64 = 12.0;
/// Third octaves at 48 kHz.
const BANDS: usize = 31;

/// The only file of a run, its shape held.
#[track_caller]
fn file(run: &Run) -> Json {
    run.object();
    let report: Json = serde_json::from_str(&run.printed).expect("it was read before");
    report.hold(&REPORT, "the object");
    let Json::Object(mut pairs) = report else { panic!("its shape was held") };
    // One file alone has none beside it.
    assert!(matches!(pairs.pop(), Some((key, Json::Null)) if key == "side_by_side"));
    let Some((_, Json::List(mut files))) = pairs.pop() else { panic!("its shape was held") };
    assert_eq!(files.len(), 1);
    files.remove(0)
}

fn set(places: &[&str]) -> BTreeSet<String> {
    places.iter().copied().map(str::to_owned).collect()
}

fn measured(sound: &Sound) -> (Json, Option<i32>) {
    let home = Home::new();
    let path = wav(home.folder(), "sound.wav", sound);
    let run = home.measured([path]);
    (file(&run), run.status)
}

#[test]
fn a_good_file_has_every_figure() {
    let (file, status) = measured(&noise(SECONDS));
    assert_eq!(status, Some(0));
    assert_eq!(file.nulls(), set(&["error", "elsewhere.records_db", "yardstick", "delivery"]));
    assert_eq!(file.at("bands").items().len(), BANDS);
}

#[test]
fn a_good_file_beside_a_yardstick_has_everything_but_an_error() {
    let home = Home::new();
    let path = wav(home.folder(), "sound.wav", &noise(SECONDS));
    let path = path.to_str().unwrap();
    take(&home, "mine", [path]);
    let run =
        home.run(["measure", "--json", path, "--yardstick", "mine", "--delivery", "ebu-tech-3344"]).well();
    let file = file(&run);
    // What is asked for is a highest, and it holds.
    let undefined = ["error", "delivery.lines.lowest", "delivery.lines.one_of", "delivery.lines.why"];
    assert_eq!(file.nulls(), set(&undefined));
    assert_eq!(file.at("yardstick").at("bands").items().len(), BANDS);
}

#[test]
fn silence_has_a_length_and_no_level() {
    let silence = vec![0f32; (SECONDS * RATE) as usize];
    let (file, status) = measured(&Sound::in_both(RATE, silence));
    assert_eq!(status, Some(2));
    let undefined = [
        "integrated_lufs",
        "momentary_max_lufs",
        "short_term_max_lufs",
        "range_lu",
        "true_peak_dbtp",
        "sample_peak_dbfs",
        "plr_db",
        "psr_loud_db",
        "crest_db",
        "fold_db",
        "fold_kept",
        "fold_worst",
        "correlation",
        "bands.level_db",
        "bands.relative_db",
        "bands.fold_db",
        "bands.fold_kept",
        "bands.correlation",
        "health.imbalance_db",
        "yardstick",
        "delivery",
    ];
    assert_eq!(file.nulls(), set(&undefined));
    assert_eq!(file.at("bands").items().len(), BANDS);
    assert_eq!(file.at("elsewhere").items().len(), 0, "nothing is kept of it, and nothing lost");
}

#[test]
fn opposite_channels_have_no_fold_in_decibels() {
    let left = noise(SECONDS).left;
    let right = left.iter().map(|x| -x).collect();
    let (file, status) = measured(&Sound::stereo(RATE, left, right));
    assert_eq!(status, Some(0));
    // Of twelve seconds it is said that they cancel.
    let undefined = [
        "error",
        "fold_db",
        "fold_worst.db",
        "bands.fold_db",
        "elsewhere.kept_db",
        "elsewhere.records_db",
        "yardstick",
        "delivery",
        "remarks.evidence.figure.fold_db",
    ];
    assert_eq!(file.nulls(), set(&undefined));
}

#[test]
fn one_channel_has_no_correlation_and_no_imbalance() {
    let mono = Sound { right: Vec::new(), ..noise(SECONDS) };
    let (file, status) = measured(&mono);
    assert_eq!(status, Some(0));
    let undefined = [
        "error",
        "correlation",
        "bands.correlation",
        "health.imbalance_db",
        "elsewhere.records_db",
        "yardstick",
        "delivery",
    ];
    assert_eq!(file.nulls(), set(&undefined));
}

#[test]
fn a_file_that_can_not_be_read_has_its_path_and_its_error() {
    let home = Home::new();
    let run = home.measured(["no such file.wav"]);
    assert_eq!(run.status, Some(2));
    let file = file(&run);
    let Json::Object(pairs) = &file else { panic!("its shape was held") };
    for (key, value) in pairs {
        match key.as_str() {
            "path" | "error" => assert!(!matches!(value, Json::Null), "{key}"),
            "bands" | "elsewhere" | "remarks" => assert!(value.items().is_empty(), "{key}"),
            _ => assert!(matches!(value, Json::Null), "{key} is {value:?}"),
        }
    }
}

/// A figure is printed with all the digits that it has.
#[test]
fn figures_are_printed_in_full_precision() {
    let home = Home::new();
    let path = wav(home.folder(), "sound.wav", &noise(SECONDS));
    let run = home.measured([path]);
    for key in ["integrated_lufs", "range_lu", "fold_db", "correlation", "true_peak_dbtp"] {
        let line = run.printed.lines().find(|line| line.contains(&format!("\"{key}\""))).unwrap();
        let digits = line.chars().filter(char::is_ascii_digit).count();
        assert!(digits >= 14, "{line}");
    }
}

#[test]
fn files_beside_each_other_have_the_shape_too() {
    let home = Home::new();
    let files = ["a.wav", "b.wav"].map(|name| wav(home.folder(), name, &noise(SECONDS)));
    let broken = home.folder().join("no such file.wav");
    let run = home.measured(files.into_iter().chain([broken]));
    let report: Json = serde_json::from_str(&run.printed).unwrap();
    report.hold(&REPORT, "the object");
    let songs = report.at("side_by_side").at("songs");
    assert_eq!(songs.items().len(), 3);
    assert!(matches!(songs.items()[2].at("loudness_lu"), Json::Null));
}
