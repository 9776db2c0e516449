//! The look as it was settled: named pictures, compared with those that are kept beside this file.
//!
//! A picture that differs is written into target/pictures/failed with what differs in red. Where the new one is right,
//! `cargo xtask pictures --keep` keeps it.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::{env, fs};

use candlemark_analysis::{Db, Lufs};
use candlemark_editor::palette::Palette;
use candlemark_editor::{Choice, Controls, Look, show};
use candlemark_session::figures::{Fold, SongFigures};
use candlemark_session::strip::StripPoint;
use candlemark_session::view::View;
use candlemark_tests::kept::{DIFFERENT_MOST, Image, difference, different, read, write};
use candlemark_tests::paths;
use candlemark_tests::picture::{Picture, click, place_of, shapes};
use egui::{Event, Pos2, Vec2, vec2};

use crate::{DESIGNED, SEEN, SMALLEST, controls_of, evening, pencil, song, views};

/// Set by `cargo xtask pictures --keep`.
const KEEP: &str = "CANDLEMARK_KEEP_PICTURES";
/// All of them together are no larger, in bytes (ours): they lie in the repository.
const BYTES_MOST: u64 = 1_800_000;
const HUGE: Vec2 = vec2(2240.0, 1400.0);

/// What is drawn for one picture.
struct Named {
    name: &'static str,
    view: View,
    choice: Choice,
    controls: Controls,
    look: Look,
    size: Vec2,
    /// What was clicked on.
    clicked: Option<&'static str>,
}

fn named(name: &'static str, view: View) -> Named {
    let controls = controls_of(&view);
    Named { name, view, choice: views::shelf(), controls, look: SEEN, size: DESIGNED, clicked: None }
}

fn far(name: &'static str, view: View) -> Named {
    let plain = named(name, view);
    Named { look: Look { far: true, ..plain.look }, controls: views::controls(), ..plain }
}

fn paper(name: &'static str, view: View) -> Named {
    let plain = named(name, view);
    Named { look: Look { palette: Palette::Paper, ..plain.look }, ..plain }
}

/// Something plays, and it is digital silence.
fn silence() -> View {
    let point = |song_s: i32| StripPoint {
        song_s: song_s.into(),
        cell_s: 1.0,
        latest: None,
        mono: None,
        before: None,
        over: false,
        aside: false,
    };
    let song = SongFigures { duration_s: 80.0, ..SongFigures::default() };
    let strip = (1..=80).map(point).collect();
    View {
        song: song.into(),
        strip,
        playhead_s: Some(80.0),
        candle: views::working().candle,
        ..View::default()
    }
}

/// Loud, squeezed, and over.
fn loud() -> View {
    let mut view = views::remarks();
    let song = Arc::make_mut(&mut view.song);
    (song.integrated, song.true_peak_dbtp) = (Some(Lufs(-7.4)), Some(Db(0.6)));
    (song.range_lu, song.health.overs) = (Some(2.1), 3);
    (view.short_term, view.integrated) = (Some(Lufs(-6.8)), Some(Lufs(-7.2)));
    for point in Arc::make_mut(&mut view.strip) {
        let up = |lufs: Lufs| Lufs(lufs.0 + 11.5);
        (point.latest, point.mono, point.before) =
            (point.latest.map(up), point.mono.map(up), point.before.map(up));
        point.over = (96.0..99.0).contains(&point.song_s);
    }
    view
}

/// One channel: nothing to lose in mono, and no correlation.
fn mono_bus() -> Named {
    let mut view = views::working();
    let song = Arc::make_mut(&mut view.song);
    let all = Fold { kept: Some(1.0) };
    (song.fold, song.correlation, view.fold, view.correlation) = (all, None, all, None);
    for band in &mut song.bands {
        (band.fold, band.correlation) = (all, None);
    }
    for point in Arc::make_mut(&mut view.strip) {
        point.mono = point.latest;
    }
    Named { controls: Controls { stereo: false, ..views::controls() }, ..named("mono-bus", view) }
}

fn aside() -> View {
    let mut view = views::working();
    view.aside = true;
    for point in Arc::make_mut(&mut view.strip) {
        point.aside = (50.0..75.0).contains(&point.song_s);
    }
    view
}

fn all() -> Vec<Named> {
    let empty = named("empty", views::just_opened());
    let hint = named("first-time", views::just_opened());
    let no_yardstick = named("no-yardstick", views::no_yardstick());
    let rings = named("rings-always", views::wide());
    let chair = named("chair", evening::at_the_chair());
    let unchosen = Choice { in_use: None, ..views::shelf() };
    vec![
        Named { choice: Choice::default(), ..empty },
        Named { choice: Choice::default(), look: Look::default(), ..hint },
        Named { choice: unchosen, ..no_yardstick },
        named("two-records", views::two_records()),
        named("quiet", views::working()),
        named("loud", loud()),
        named("faults", views::faults()),
        named("silence", silence()),
        Named { choice: song::songs(), clicked: Some("Harbour"), ..named("song-open", song::harbour()) },
        Named { clicked: Some("mark knob"), ..named("marking", evening::unconfirmed()) },
        Named { clicked: Some("Pencil (3)"), ..named("marks-listed", pencil::after_a_pass()) },
        mono_bus(),
        named("aside", aside()),
        Named { size: SMALLEST, ..named("tiny", views::remarks()) },
        Named { size: SMALLEST, ..named("tiny-faults", views::faults()) },
        Named { size: HUGE, ..named("huge", views::remarks()) },
        far("far", views::remarks()),
        far("far-alone", views::no_yardstick()),
        paper("paper", views::remarks()),
        named("dimmed", views::spent()),
        paper("dimmed-paper", views::spent()),
        named("lights-out", evening::dark()),
        named("rest-due", evening::rest_due()),
        named("resting", evening::resting()),
        named("marks", evening::marked()),
        Named { look: Look { as_heard: true, ..chair.look }, ..chair },
        named("chair-loud", evening::loud_at_the_chair()),
        Named { look: Look { rings_always: true, ..rings.look }, ..rings },
    ]
}

fn image(named: &Named) -> Image {
    let Named { view, choice, controls, look, size, clicked, .. } = named;
    let draw = |ui: &mut egui::Ui| _ = show(ui, view, choice, controls, *look);
    let shapes = clicked.map(|words| (words, shapes(*size, 1.0, draw)));
    let at = shapes.map(|(words, shapes)| place_of(&shapes, words).expect("it is written"));
    let away = Event::PointerMoved(Pos2::ZERO);
    let events: Vec<Event> = at.into_iter().flat_map(click).chain([away]).collect();
    let picture = Picture::after(if clicked.is_some() { &events } else { &[] }, *size, 1.0, draw);
    Image { size: picture.size, pixels: picture.pixels }
}

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("pictures/kept")
}

/// What is wrong with a picture beside the kept one, in words.
fn compare(name: &str, image: &Image) -> Result<(), String> {
    let kept_at = folder().join(format!("{name}.png"));
    let failed = |label: &str| paths::target().join(format!("pictures/failed/{name}{label}.png"));
    let save = |image: &Image, label: &str| write(image, &failed(label)).expect("it can be written");
    let found = read(&kept_at).and_then(|kept| different(image, &kept));
    match found {
        Err(error) => {
            save(image, "");
            Err(format!("{name}: {error:#}; the picture is {}", failed("").display()))
        }
        Ok(pixels) => {
            let count = pixels.iter().filter(|is| **is).count();
            if count <= DIFFERENT_MOST {
                return Ok(());
            }
            save(image, "");
            save(&difference(image, &pixels), "-difference");
            Err(format!("{name}: {count} pixels differ, see {}", failed("-difference").display()))
        }
    }
}

#[test]
fn every_kept_picture_is_as_it_was() {
    let keeps = env::var_os(KEEP).is_some();
    let mut wrong = Vec::new();
    for named in all() {
        let image = image(&named);
        if keeps && compare(named.name, &image).is_err() {
            write(&image, &folder().join(format!("{}.png", named.name))).expect("it can be kept");
            println!("kept: {}", named.name);
        }
        wrong.extend(compare(named.name, &image).err());
    }
    assert!(
        wrong.is_empty(),
        "{}\nWhere the new pictures are right, keep them: cargo xtask pictures --keep",
        wrong.join("\n")
    );
}

#[test]
fn nothing_is_kept_that_is_not_compared_and_all_of_it_is_small() {
    let names: BTreeSet<String> = all().iter().map(|named| format!("{}.png", named.name)).collect();
    assert_eq!(names.len(), all().len(), "two pictures have one name");
    let mut bytes = 0;
    for entry in fs::read_dir(folder()).expect("the folder is there") {
        let entry = entry.expect("it can be read");
        let name = entry.file_name().to_string_lossy().into_owned();
        assert!(names.contains(&name), "{name} is kept and nothing is compared with it: remove it");
        bytes += entry.metadata().expect("it has a size").len();
    }
    assert!(bytes <= BYTES_MOST, "{bytes} bytes are kept");
}

/// The comparison sees what a person would see.
#[test]
fn a_figure_that_is_another_is_seen() {
    let quiet = image(&named("quiet", views::working()));
    let mut view = views::working();
    view.short_term = Some(Lufs(-18.3));
    let other = image(&named("quiet", view));
    let count = different(&quiet, &other).expect("they are of one size").iter().filter(|is| **is).count();
    assert!(count > DIFFERENT_MOST, "{count}");
}
