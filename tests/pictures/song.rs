//! The song over its candle: its name, its stage, and the other songs of the project.

use candlemark_editor::{Choice, Wish};
use candlemark_session::remarks::Stage;
use candlemark_session::song_page::SongId;
use candlemark_session::view::View;
use egui::{Event, Key, vec2};

use crate::open::{Open, open};
use crate::seen::has_text;
use crate::{DESIGNED, SMALLEST, draw, geometry, views};

pub(crate) const LONG: &str = "What the Tide Brought Back to the Boathouse in the Winter, Second Try";

fn id(digit: char) -> SongId {
    SongId::try_from(String::from(digit).repeat(32)).expect("it is one")
}

/// A named song in a project with another.
fn named() -> Open {
    let mut open = open();
    open.view = harbour();
    open.choice = songs();
    open
}

/// The shelf, in a project of three songs.
pub(crate) fn songs() -> Choice {
    let songs = vec![(id('a'), "Harbour".into()), (id('b'), "Low Water".into()), (id('c'), String::new())];
    Choice { songs, song: Some(id('a')), ..views::shelf() }
}

pub(crate) fn harbour() -> View {
    View { song_name: Some("Harbour".into()), ..views::working() }
}

fn opened() -> Open {
    let mut open = named();
    assert_eq!(open.click("Harbour"), [], "it only opens");
    open
}

#[test]
fn over_the_candle_stand_the_songs_name_and_what_is_done_with_it() {
    let picture = draw(&harbour(), &views::shelf(), DESIGNED, 1.0);
    assert!(has_text(&picture, "Harbour") && has_text(&picture, "mixing"));
    let printing = View { stage: Stage::Printing, ..views::working() };
    let picture = draw(&printing, &views::shelf(), DESIGNED, 1.0);
    assert!(has_text(&picture, "no name yet") && has_text(&picture, "printing"));
}

#[test]
fn a_long_name_stays_in_its_column_and_is_whole_on_hover() {
    for size in [DESIGNED, SMALLEST, vec2(2240.0, 1400.0)] {
        let view = View { song_name: Some(LONG.into()), ..views::working() };
        let picture = draw(&view, &views::shelf(), size, 1.0);
        geometry::hold(&picture.shapes, size, "a long name");
        assert!(has_text(&picture, LONG), "laid out from the whole of it");
    }
    let mut open = open();
    open.view.song_name = Some(LONG.into());
    let before = texts_of(&mut open);
    let at = open.find(LONG).expect("it is written");
    open.frame(vec![Event::PointerMoved(at)]);
    open.now_s += 2.0;
    open.frame(Vec::new());
    assert_eq!(texts_of(&mut open), before + 1, "the hover has it once more");
}

fn texts_of(open: &mut Open) -> usize {
    open.texts().iter().filter(|text| *text == LONG).count()
}

#[test]
fn a_song_is_named_with_spaces_in_it() {
    let mut open = open();
    assert_eq!(open.click("no name yet"), [], "it only opens");
    assert_eq!(open.click("name of the song"), []);
    for text in ["Low", " ", "Water"] {
        assert_eq!(open.frame(vec![Event::Text(text.into())]).1, []);
    }
    assert_eq!(open.key(Key::Enter), [Wish::NameSong("Low Water".into())]);
    assert_eq!(open.find("New song"), None, "all is said");
}

#[test]
fn what_was_written_stays_when_the_popup_is_left_and_esc_forgets_it() {
    for (leaves, wished) in [(true, vec![Wish::NameSong("Tide".into())]), (false, Vec::new())] {
        let mut open = open();
        open.click("no name yet");
        open.click("name of the song");
        open.frame(vec![Event::Text("Tide".into())]);
        let mut wishes = if leaves { open.click("The song") } else { open.key(Key::Escape) };
        wishes.extend(open.frame(Vec::new()).1);
        assert_eq!(wishes, wished);
    }
}

#[test]
fn another_song_is_opened_or_begun() {
    let mut open = opened();
    assert!(open.find("with a fresh candle, and nothing heard").is_some());
    assert_eq!(open.click("Low Water"), [Wish::OpenSong(id('b'))]);
    assert_eq!(opened().click("a song without a name"), [Wish::OpenSong(id('c'))]);
    assert_eq!(opened().click("New song"), [Wish::NewSong]);
}

#[test]
fn the_stage_is_switched() {
    assert_eq!(opened().click("printing"), [Wish::Do(Stage::Printing)]);
    let mut open = opened();
    assert_eq!(open.click("mixing"), [], "it is that already");
}

/// The finished song leaves with its page: offered while printing, once there is something to print.
#[test]
fn a_print_sheet_is_asked_for_while_printing_and_not_before_anything_was_heard() {
    assert_eq!(opened().find("Print sheet…"), None, "mixing");
    let mut open = named();
    open.view.stage = Stage::Printing;
    open.click("Harbour");
    assert_eq!(open.click("Print sheet…"), [Wish::PrintSheet]);
    let mut open = named();
    open.view.stage = Stage::Printing;
    open.view.song = std::sync::Arc::default();
    open.click("Harbour");
    assert_eq!(open.click("Print sheet…"), []);
}

#[test]
fn what_opens_lies_in_the_window_and_covers_nothing_of_itself() {
    let mut open = opened();
    for size in [DESIGNED, SMALLEST] {
        open.size = size;
        let at = open.find("New song").expect("it is open");
        assert!(at.x < size.x && at.y < size.y, "{at:?}");
    }
}
