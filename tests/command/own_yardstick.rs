//! A record against yardsticks that it was itself taken into: the same statistic on both sides.

use candlemark_tests::command::{Home, figure};
use candlemark_tests::paths;
use serde_json::Value;

use crate::files::take;

/// The three shortest tracks.
fn tracks() -> Vec<String> {
    let mut tracks = paths::music_tracks();
    tracks.sort_by_cached_key(|track| track.metadata().expect("a track can be looked at").len());
    tracks.truncate(3);
    tracks.iter().map(|track| track.to_str().expect("a track's path is text").to_owned()).collect()
}

fn bands(yardstick: &Value) -> &[Value] {
    let bands = yardstick["bands"].as_array().expect("the bands are a list");
    assert!(bands.len() >= 30, "{} bands", bands.len());
    bands
}

#[test]
fn a_record_lies_exactly_on_the_yardstick_taken_from_it_alone() {
    let home = Home::new();
    for (number, track) in tracks().iter().enumerate() {
        let name = format!("record {number}");
        take(&home, &name, [track]);
        let run = home.run(["measure", track, "--yardstick", &name, "--json"]).well();
        let yardstick = &run.files()[0]["yardstick"];
        assert_eq!(
            (yardstick["name"].as_str(), yardstick["records"].as_u64()),
            (Some(name.as_str()), Some(1))
        );
        assert_eq!(figure(yardstick, "distance_db"), 0.0, "{track}");
        for band in bands(yardstick) {
            for key in ["off_db", "low_db", "high_db"] {
                assert_eq!(figure(band, key), 0.0, "{track}: {band}");
            }
            assert_eq!(band["outside"], false, "{track}: {band}");
        }
    }
}

#[test]
fn no_record_lies_outside_the_records() {
    let home = Home::new();
    let tracks = tracks();
    take(&home, "all", &tracks);
    let records = tracks.iter().map(String::as_str);
    let run = home.run(["measure", "--json", "--yardstick", "all"].into_iter().chain(records)).well();
    let mut touched = 0;
    for file in run.files() {
        assert_eq!(file["yardstick"]["records"], 3);
        for band in bands(&file["yardstick"]) {
            let [off, low, high] = ["off_db", "low_db", "high_db"].map(|key| figure(band, key));
            assert!((low..=high).contains(&off) && low <= 0.0 && high >= 0.0, "{band}");
            assert_eq!(band["outside"], false, "{band}");
            touched += usize::from(off == low) + usize::from(off == high);
        }
    }
    // Of three records one is the lowest and one the highest, in every band.
    assert!(touched >= 60, "{touched}");
}

/// PSR, PLR and the crest factor judge together: each stands beside the records' lowest and highest, and the shelf shows
/// each record's own.
#[test]
fn the_page_has_the_records_figures_beside_the_songs() {
    let home = Home::new();
    let tracks = tracks();
    take(&home, "all", &tracks);
    let measured = home.measure(&tracks);
    let page = home.run(["measure", "--yardstick", "all", &tracks[0]]).printed;
    let shown = home.run(["yardstick", "show", "all"]).printed;
    let tenths = |db: f64| format!("{db:.1}").replace('-', "−");
    for (key, before, after) in [
        ("psr_loud_db", "loud parts ", " dB (PSR)"),
        ("plr_db", "whole ", " dB (PLR)"),
        ("crest_db", "crest factor ", " dB"),
    ] {
        let all: Vec<f64> = measured.iter().map(|file| figure(file, key)).collect();
        let (low, high) =
            (all.iter().copied().fold(f64::INFINITY, f64::min), all.iter().copied().fold(0.0, f64::max));
        let line =
            format!("{before}{}{after}   records {} to {}\n", tenths(all[0]), tenths(low), tenths(high));
        assert!(page.contains(&line), "{line:?} is not in\n{page}");
        let in_list = before.trim_end().trim_end_matches(" factor");
        for db in all {
            let told = format!(", {in_list} {} dB", tenths(db));
            assert!(shown.contains(&told), "{told:?} is not in\n{shown}");
        }
    }
}
