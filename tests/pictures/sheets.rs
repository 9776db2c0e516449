//! The print sheet of the song in the window, of the same views as the pictures. `cargo xtask trial sheet` draws them with a
//! browser.

use std::fs;

use candlemark_files::sheet::{SongSheet, song_page};
use candlemark_session::lights_out::Listen;
use candlemark_session::pencil::{PencilMark, SongPlace};
use candlemark_session::remarks::Meant;
use candlemark_session::view::View;
use candlemark_tests::paths;
use scraper::{ElementRef, Html, Selector};

use crate::{evening, song, views};

/// As long as a note can be, in words and in one word.
fn long_notes() -> [String; 2] {
    let words = "the voice is too far back in the second verse, and the harp covers it where it breathes; ";
    [words.repeat(3), "a".repeat(300)].map(|note| note.chars().take(200).collect())
}

/// An evening's work on a song: marks with notes of every length, passes, bars, and a long name.
fn worked_on() -> View {
    let mut view = View { song_name: Some(song::LONG.into()), ..views::remarks() };
    let mut marks: Vec<PencilMark> = evening::marked().pencil.to_vec();
    let model = marks[0].clone();
    for (number, note) in (4..).zip(long_notes()) {
        marks.push(PencilMark { number, note, ..model.clone() });
    }
    // Many at one place, the last of them late in an hour of song.
    for number in 6..14 {
        let at = SongPlace { song_s: 118.0 + 0.4 * f64::from(number), beats: Some(12_000.0) };
        marks.push(PencilMark { number, at, note: String::new(), ..model.clone() });
    }
    view.pencil = marks.into();
    view.listens =
        (1..4).map(|n| Listen::of(n, 1_700_000_000.0 + 4e3 * f64::from(n), 218.0, &view.song)).collect();
    View { at_chair: evening::at_the_chair().at_chair, ..view }
}

fn meant() -> Vec<Meant> {
    let of = |text: &str| Meant { id: "range".into(), text: text.into(), figure: None, bands_hz: None };
    vec![
        of("The loud and the quiet parts lie 2.2 LU apart; the records’ 6.0 to 9.0 LU."),
        of("It peaks at +1.3 dBTP."),
    ]
}

/// Every sheet by its name.
fn sheets() -> Vec<(&'static str, String)> {
    let views = [
        ("worked on", worked_on(), meant()),
        ("working", song::harbour(), Vec::new()),
        ("faults", views::faults(), meant()),
        ("alone", views::no_yardstick(), Vec::new()),
        ("by time", views::by_time(), Vec::new()),
        ("wide figures", views::wide_figures(), Vec::new()),
        ("nothing heard", View::default(), Vec::new()),
    ];
    let page = |(name, view, meant): (&'static str, View, Vec<Meant>)| {
        let sheet =
            SongSheet { view: &view, is_mono: false, meant: &meant, rests: 2, made_unix_s: 1_700_000_000.0 };
        (name, song_page(&sheet, env!("CARGO_PKG_VERSION")))
    };
    views.into_iter().map(page).collect()
}

fn all<'a>(html: &'a Html, selector: &str) -> Vec<ElementRef<'a>> {
    html.select(&Selector::parse(selector).expect("a selector of this test")).collect()
}

#[test]
fn the_sheets_of_songs_are_written_to_be_drawn() {
    let folder = paths::target().join("pictures/sheets");
    fs::create_dir_all(&folder).unwrap();
    for (name, page) in sheets() {
        let html = Html::parse_document(&page);
        assert!(html.errors.is_empty(), "{name}: {:?}", html.errors);
        fs::write(folder.join(format!("{name}.html")), page).unwrap();
    }
}

/// A telephone shows the lines of a long table without its head, and each figure with its name.
#[test]
fn a_figure_of_a_long_table_carries_the_name_over_its_column() {
    let (_, page) = sheets().swap_remove(0);
    let html = Html::parse_document(&page);
    let tables = all(&html, "table.cards");
    assert_eq!(tables.len(), 2, "the marks and the passes");
    for table in tables {
        let cells = |selector: &str| {
            let selector = Selector::parse(selector).unwrap();
            table.select(&selector).map(|cell| (cell.text().collect(), cell)).collect::<Vec<(String, _)>>()
        };
        let (heads, all) = (cells("thead th"), cells("tbody th, tbody td"));
        for (at, (text, cell)) in all.iter().enumerate() {
            let head = &heads[at % heads.len()].0;
            match cell.attr("data-of") {
                Some(name) => assert!(head.starts_with(name) && !name.is_empty(), "{name} under {head}"),
                // A sentence, and a word that says itself.
                None => assert!(
                    head == "note" || ["open", "dealt with"].contains(&text.as_str()),
                    "{text} under {head}"
                ),
            }
        }
    }
}

#[test]
fn what_is_not_there_has_no_line() {
    let (name, page) = sheets().pop().unwrap();
    assert_eq!(name, "nothing heard");
    assert!(!page.contains("Band by band") && !page.contains("Of each octave"), "{page}");
}
