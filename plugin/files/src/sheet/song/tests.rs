use candlemark_analysis::bands::NOMINAL_HZ;
use candlemark_analysis::{Db, Hertz, Lufs};
use candlemark_session::drift::{Drifts, Moved};
use candlemark_session::figures::{BandFigures, Fold, SongFigures, Spread};
use candlemark_session::lights_out::Listen;
use candlemark_session::pencil::{MetersRead, PencilMark, SongPlace};

use super::*;

fn point(song_s: f64) -> StripPoint {
    StripPoint {
        song_s,
        cell_s: 1.0,
        latest: Some(Lufs(-20.0)),
        mono: Some(Lufs(-21.0)),
        before: None,
        over: false,
        aside: false,
    }
}

fn view(seconds: impl Iterator<Item = u32>) -> View {
    let strip: Vec<StripPoint> = seconds.map(|second| point(f64::from(second))).collect();
    let song = SongFigures {
        duration_s: strip.len() as f64,
        integrated: Some(Lufs(-20.0)),
        ..SongFigures::default()
    };
    View { strip: strip.into(), song: song.into(), ..View::default() }
}

fn mark(number: u32, song_s: f64, note: &str) -> PencilMark {
    PencilMark {
        number,
        listen: 2,
        made_unix_s: 0.0,
        at: SongPlace { song_s, beats: Some(2.0 * song_s) },
        read: MetersRead {
            short_term: Some(Lufs(-18.3)),
            true_peak_dbtp: Some(Db(-4.6)),
            fold: Fold { kept: Some(0.5) },
            correlation: Some(0.31),
        },
        note: note.to_owned(),
        dealt_with: false,
    }
}

fn page(view: &View, meant: &[Meant]) -> String {
    let sheet = SongSheet { view, is_mono: false, meant, rests: 2, made_unix_s: 951_782_400.0 };
    song_page(&sheet, "0.0")
}

#[test]
fn pencil_marks_stand_with_their_place_what_was_read_and_the_line() {
    let mut view = view(1..=120);
    let dealt = PencilMark { dealt_with: true, ..mark(2, 90.0, "") };
    view.pencil = vec![mark(1, 40.0, "the <b>bridge</b> & \"drags\""), dealt].into();
    view.listens = vec![Listen::of(2, 951_782_400.0, 118.0, &view.song)].into();
    let page = page(&view, &[]);
    for told in [
        "2 made with the lights out, 1 still open",
        "<th scope=\"row\" data-of=\"mark\">1</th><td data-of=\"pass\">2</td><td data-of=\"at\">0:40</td><td data-of=\"bar\">21</td>",
        ">−18.3</td><td data-of=\"dBTP\">−4.6</td><td data-of=\"fold\">−3.0</td><td data-of=\"correlation\">+0.31</td>",
        "the &lt;b&gt;bridge&lt;/b&gt; &amp; &quot;drags&quot;",
        "29 February 2000, 00:00 UTC",
        "1:58",
        "A print has a head, a tail and a SHA-256",
    ] {
        assert!(page.contains(told), "{told}:\n{page}");
    }
    assert_eq!(page.matches("class=\"pencil\"").count(), 2, "each is on the strip");
    assert!(!page.contains("<b>"));
}

#[test]
fn what_was_meant_is_told_and_a_song_without_marks_has_no_room_for_them() {
    let meant =
        Meant { id: "low-end".into(), text: "The low end falls away.".into(), figure: None, bands_hz: None };
    let page = page(&view(1..=120), &[meant]);
    assert!(page.contains("<li>The low end falls away.</li>"));
    assert!(page.contains(NAMELESS));
    assert!(!page.contains("Pencil marks") && !page.contains("Lights-out"));
    assert!(page.contains("<th scope=\"row\">rests taken</th><td>2</td>"));
}

#[test]
fn what_was_not_heard_between_is_told_and_left_open_on_the_strip() {
    let view = view((9..=90).chain(173..=220));
    let page = page(&view, &[]);
    assert!(page.contains("2:10 of 3:32 heard in the window"), "{page}");
    let song = page.split("<path class=\"song\" d=\"").nth(1).unwrap().split('"').next().unwrap();
    assert_eq!(song.matches('M').count(), 2, "{song}");
}

#[test]
fn a_song_that_was_heard_in_a_count_in_begins_there_on_the_strip() {
    let mut view = view(1..=60);
    let mut strip = view.strip.to_vec();
    strip.insert(0, point(-3.0));
    view.strip = strip.into();
    let page = page(&view, &[]);
    // Of 64 s on 942 units from 8 on, the first cell's end is 1 s from the left, and the song's beginning 4 s.
    assert!(page.contains("class=\"song\" d=\"M22.7 "), "{page}");
    assert!(page.contains("x=\"66.875\" y=\"239\" text-anchor=\"middle\">0:00<"), "{page}");
}

#[test]
fn a_sheet_is_named_for_its_song_as_any_system_takes_it() {
    assert_eq!(file_name(Some("Low Water")), "Low Water, print sheet.html");
    assert_eq!(file_name(Some("../a/b:c\"?")), "-a-b-c--, print sheet.html");
    assert_eq!(file_name(Some(" .. ")), "song, print sheet.html");
    assert_eq!(file_name(None), "song, print sheet.html");
    assert_eq!(file_name(Some("Été 🌊")), "Été 🌊, print sheet.html");
}

#[test]
fn only_a_sheet_of_ours_under_the_very_name_that_was_given_is_written_over() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name);
    assert_eq!(place_for(&at("a.html")), (at("a.html"), false));
    std::fs::write(at("a.html"), page(&view(1..=60), &[])).unwrap();
    assert_eq!(place_for(&at("a.html")), (at("a.html"), true));
    assert_eq!(place_for(&at("a")), (at("a.html"), false), "the dialog has not asked about this name");
    std::fs::write(at("letter.HTM"), "<!DOCTYPE html><title>a letter</title>").unwrap();
    assert_eq!(place_for(&at("letter.HTM")), (at("letter.HTM"), false));
    assert_eq!(place_for(&at("song.wav")), (at("song.wav.html"), false));
    assert!(!place_for(folder.path()).1);
}

fn moved(bands_hz: std::ops::RangeInclusive<f64>, by_db: f64, brighter_db: f64) -> Moved {
    let of = |hz: &f64| Some(Db(if bands_hz.contains(hz) { by_db } else { 0.0 }));
    let bands_db = NOMINAL_HZ.iter().map(of).collect();
    Moved { bands_db, brighter_db: Some(Db(brighter_db)), common_s: 60.0 }
}

/// A song whose every third octave lies 20 dB under its loudness.
fn balanced() -> View {
    let mut view = view(1..=120);
    let spread = Spread { low_db: -23.0, median_db: -20.0, high_db: -17.0 };
    let band = |hz: &f64| BandFigures {
        nominal: Hertz(*hz),
        level: None,
        relative: Some(spread),
        fold: Fold::default(),
        correlation: None,
    };
    let bands = NOMINAL_HZ.iter().map(band).collect();
    view.song = SongFigures { bands, ..(*view.song).clone() }.into();
    view
}

#[test]
fn what_has_drifted_is_said_as_in_the_window_with_its_bands() {
    let mut view = balanced();
    let since_rest = Some(moved(2500.0..=4000.0, 2.1, 0.4));
    view.drifts = Drifts { since_rest, since_start: Some(moved(50.0..=80.0, -3.0, 1.3)) }.into();
    let page = page(&view, &[]);
    let said =
        "Drift: 0.4 dB brighter since rest, 1.3 since the start; 2.5–4 kHz +2.1 dB since rest (the bracket).";
    assert!(page.contains(said), "{page}");
    // From the first of the three columns to the last of them, a third octave to either side of 3150 Hz.
    let bracket = page.split("class=\"drift\" d=\"M").nth(1).unwrap().split('"').next().unwrap();
    let from: f64 = bracket.split(' ').next().unwrap().parse().unwrap();
    let to: f64 = bracket.split('H').nth(1).unwrap().split('V').next().unwrap().parse().unwrap();
    let column = |hz: f64| {
        let index = NOMINAL_HZ.iter().position(|nominal| *nominal == hz).unwrap();
        // 31 columns on 942 units from 8 on.
        8.0 + 942.0 * (index as f64 + 0.5) / 31.0
    };
    for (end, hz) in [(from, 2500.0), (to, 4000.0)] {
        assert!((end - column(hz)).abs() < 942.0 / 31.0 / 2.0, "{end} at {hz} Hz");
    }
}

#[test]
fn what_is_not_known_to_have_drifted_is_not_spoken_of() {
    let untold = page(&balanced(), &[]);
    assert!(!untold.contains("Drift:") && !untold.contains("class=\"drift\""), "{untold}");
    let mut view = balanced();
    view.drifts = Drifts { since_rest: None, since_start: Some(moved(50.0..=80.0, 0.2, -0.01)) }.into();
    let page = page(&view, &[]);
    assert!(
        page.contains("Drift: no brighter since the start.") && !page.contains("class=\"drift\""),
        "{page}"
    );
}
