//! The delivery profiles of standards bodies against the figures as they were transcribed from the documents, or from
//! texts about them: `published_deliveries.json`, put together for this project from R 128 v5 as quoted, and from secondary
//! texts (its `st` says which; `Q-text` is quoted).

use candlemark_files::Delivery;
use candlemark_session::delivery::{Figure, Limit, Profile, Standing};
use serde_json::Value;

const TRANSCRIBED: &str = include_str!("published_deliveries.json");

/// A profile, the row that it is from, the key of its loudness there, and the lowest and highest loudness from it.
struct Case {
    name: &'static str,
    doc: &'static str,
    loudness: Loudness,
}

enum Loudness {
    /// The figure at a key, so much either way in LU.
    Around(&'static str, f64),
    /// The figure at a key at most.
    AtMost(&'static str),
    /// Two figures in a text, from the first to the second.
    Between(&'static str),
    /// None is asked for.
    No,
}

use Loudness::{Around, AtMost, Between, No};

/// Every published profile. Allowances stand in the rows as text, but for those of AES TD1008, which are ours.
const CASES: [Case; 11] = [
    Case { name: "ebu-r128", doc: "R 128 v5 (2023)", loudness: Around("I", 0.2) },
    Case { name: "ebu-r128-live", doc: "R 128 v5 (2023)", loudness: Around("I", 1.0) },
    Case { name: "ebu-r128-s1", doc: "R 128 s1 v3 short-form", loudness: Around("I", 0.2) },
    Case { name: "ebu-r128-s2", doc: "R 128 s2 v3 (2023) streaming", loudness: Between("alt") },
    Case { name: "ebu-tech-3344", doc: "Tech 3343/3344", loudness: No },
    Case { name: "atsc-a85", doc: "A/85", loudness: Around("I", 2.0) },
    Case { name: "aes-td1004", doc: "TD1004.1.15-10 (2015)", loudness: Between("I") },
    Case {
        name: "aes-td1008-music",
        doc: "TD1008 (2021) / AES77-2023",
        loudness: Around("music_track", 0.5),
    },
    Case { name: "aes-td1008-album", doc: "TD1008 (2021) / AES77-2023", loudness: AtMost("album_loudest") },
    Case { name: "aes-td1008-speech", doc: "TD1008 (2021) / AES77-2023", loudness: Around("speech", 0.5) },
    Case { name: "arib-tr-b32", doc: "TR-B32", loudness: Around("I", 1.0) },
];

/// Rows of which no profile is made: they stand on memory alone.
const LEFT_OUT: [&str; 2] = ["OP-59", "BS.1864"];

fn rows() -> Vec<Value> {
    serde_json::from_str(TRANSCRIBED).expect("the transcription is a list")
}

fn row(doc: &str) -> Value {
    rows().into_iter().find(|row| row["doc"] == doc).unwrap_or_else(|| panic!("no row of {doc}"))
}

fn profile(name: &str) -> Profile {
    Delivery::find(name).and_then(|delivery| delivery.profile).unwrap_or_else(|error| panic!("{error}"))
}

fn limit(profile: &Profile, figure: Figure) -> Option<Limit> {
    profile.limits.iter().find(|(asked, _)| *asked == figure).map(|(_, limit)| limit.clone())
}

/// The numbers in a text such as "-20..-16 LUFS".
fn two(text: &str) -> [f64; 2] {
    let (low, rest) = text.split_once("..").unwrap_or_else(|| panic!("no reach in {text}"));
    let high: String = rest.chars().take_while(|c| "-.0123456789".contains(*c)).collect();
    [low, &high].map(|number| number.parse().unwrap_or_else(|_| panic!("{number:?} in {text}")))
}

#[test]
fn every_profile_asks_for_what_its_document_asks_for() {
    for case in &CASES {
        let (profile, row) = (profile(case.name), row(case.doc));
        let at = |key: &str| row[key].as_f64().unwrap_or_else(|| panic!("{}: no {key}", case.doc));
        let loudness = match case.loudness {
            Around(key, most) => Some((Some(at(key) - most), Some(at(key) + most))),
            AtMost(key) => Some((None, Some(at(key)))),
            Between(key) => {
                let [low, high] = two(row[key].as_str().expect("it is a text"));
                Some((Some(low), Some(high)))
            }
            No => None,
        };
        let asked = limit(&profile, Figure::IntegratedLufs).map(|limit| (limit.lowest, limit.highest));
        let same = |one: Option<f64>, other: Option<f64>| match (one, other) {
            (Some(one), Some(other)) => (one - other).abs() < 1e-9,
            (one, other) => one == other,
        };
        // The figure is one that something reaches: where only its upper end can be asked for, that is said.
        let is_said = profile.note.starts_with("Only the upper end is checked");
        assert_eq!(is_said, matches!(case.loudness, AtMost(_)), "{}: {}", case.name, profile.note);
        match (asked, loudness) {
            (Some(asked), Some(expected)) => {
                assert!(same(asked.0, expected.0) && same(asked.1, expected.1), "{}: {asked:?}", case.name);
            }
            (asked, expected) => assert_eq!(asked, expected, "{}", case.name),
        }
        let peak = limit(&profile, Figure::TruePeakDbtp).expect("every profile asks for a true peak");
        assert_eq!((peak.lowest, peak.highest), (None, row["TP"].as_f64()), "{}", case.name);
        let short_term = limit(&profile, Figure::ShortTermMaxLufs).and_then(|limit| limit.highest);
        assert_eq!(short_term, row["max_S"].as_f64(), "{}", case.name);
        let known = 1 + usize::from(asked.is_some()) + usize::from(short_term.is_some());
        assert_eq!(profile.limits.len(), known, "{} asks for more than its document", case.name);
        let standing = if row["st"] == "Q-text" { Standing::Quoted } else { Standing::Secondary };
        assert_eq!(profile.standing, standing, "{}", case.name);
    }
}

#[test]
fn every_profile_has_its_case_and_every_row_its_profile() {
    let all = Delivery::all().expect("profiles can be listed");
    let published: Vec<&str> =
        all.iter().filter(|one| one.path.is_none()).map(|one| one.name.as_str()).collect();
    assert_eq!(published.len(), CASES.len());
    assert!(published.iter().all(|name| CASES.iter().any(|case| case.name == *name)), "{published:?}");
    for row in rows() {
        let doc = row["doc"].as_str().expect("a row names its document");
        let has_one = CASES.iter().any(|case| case.doc == doc);
        assert!(has_one != LEFT_OUT.contains(&doc), "{doc}");
        assert!(has_one || row["st"] == "memory", "{doc}");
    }
}
