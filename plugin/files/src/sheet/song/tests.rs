use candlemark_analysis::{Db, Lufs};
use candlemark_session::figures::{Fold, SongFigures};
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
