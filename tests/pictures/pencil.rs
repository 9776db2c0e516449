//! The list of pencil marks in the balance's room.

use std::sync::Arc;

use candlemark_analysis::{Db, Lufs};
use candlemark_editor::Wish;
use candlemark_session::figures::SongFigures;
use candlemark_session::lights_out::Listen;
use candlemark_session::pencil::PencilMark;
use candlemark_session::view::View;
use egui::{Event, Key, Shape, vec2};

use crate::open::{Open, open};
use crate::{DESIGNED, LAMP, SMALLEST, evening, geometry, views};

/// The song came up a little between the first pass and the second.
fn pass(number: u32) -> Listen {
    let song = SongFigures {
        integrated: Some(Lufs(-20.2 + 0.6 * f64::from(number))),
        range_lu: Some(5.4 - 0.3 * f64::from(number)),
        true_peak_dbtp: Some(Db(-4.3)),
        psr_loud: Some(Db(9.4)),
        ..SongFigures::default()
    };
    Listen::of(number, 0.0, 220.0, &song)
}

/// After a second pass, with a host that tells beats at the first mark.
pub(crate) fn after_a_pass() -> View {
    let mut view = evening::marked();
    Arc::make_mut(&mut view.pencil)[0].at.beats = Some(66.0);
    View { listens: Arc::from([pass(1), pass(2)]), ..view }
}

/// A pass has just ended.
fn listed() -> Open {
    let mut open = open();
    open.view = View { listens: Arc::from([pass(1)]), ..views::working() };
    open.frame(Vec::new());
    open.view = View { dark: evening::dark().dark, ..open.view };
    open.frame(Vec::new());
    open.view = after_a_pass();
    open.frame(Vec::new());
    open
}

fn flag_is_lit(open: &mut Open, figure: &str) -> bool {
    let (shapes, _) = open.frame(Vec::new());
    shapes.windows(2).any(|pair| match (&pair[0].shape, &pair[1].shape) {
        (Shape::Rect(flag), Shape::Text(text)) => flag.fill == LAMP.ink && text.galley.text() == figure,
        _ => false,
    })
}

#[test]
fn after_a_pass_the_list_lies_where_the_balance_was_and_goes_again() {
    let mut open = listed();
    assert_eq!(open.find("Balance"), None);
    assert!(open.find("The song").is_some(), "the strip stays");
    assert!(
        open.find("0:40 · bar 17").is_some() && open.find("1:32").is_some(),
        "bars where beats are known"
    );
    assert!(open.find("−18.4 LUFS · −3.1 dBTP · fold −3.0 dB").is_some());
    let differences =
        "Since the pass before: song +0.6 LU · range −0.3 LU · true peak 0.0 dB · loud parts 0.0 dB";
    assert!(open.find(differences).is_some());
    assert_eq!(open.click("Back to the balance"), []);
    assert!(open.find("Balance").is_some());
    assert_eq!(open.find("Back to the balance"), None);
}

#[test]
fn a_window_that_opens_later_shows_the_balance_and_a_button() {
    let mut open = open();
    assert_eq!(open.find("Pencil (3)"), None, "no marks, no button");
    let mut open = Open { ctx: egui::Context::default(), view: after_a_pass(), ..open };
    assert!(open.find("Balance").is_some());
    assert_eq!(open.click("Pencil (3)"), []);
    assert!(open.find("Back to the balance").is_some());
    open.click("Pencil (3)");
    assert!(open.find("Balance").is_some());
}

#[test]
fn another_songs_passes_open_nothing() {
    let mut open = open();
    open.view = after_a_pass();
    let id = candlemark_session::song_page::SongId::try_from("b".repeat(32)).expect("it is one");
    open.choice.song = Some(id);
    assert!(open.find("Balance").is_some());
}

fn second(open: &Open) -> PencilMark {
    open.view.pencil[1].clone()
}

#[test]
fn a_line_is_written_with_enter_or_by_leaving_the_field() {
    for by_enter in [true, false] {
        let mut open = listed();
        let note = "too loud by half".to_owned();
        let wanted = Wish::Write(PencilMark { note, ..second(&open) });
        assert_eq!(open.click("a line of your own"), []);
        for text in ["too", " ", "loud", " ", "by half"] {
            assert_eq!(open.frame(vec![Event::Text(text.into())]).1, []);
        }
        let wishes = if by_enter { open.key(Key::Enter) } else { open.click("The song") };
        assert_eq!(wishes, [wanted]);
    }
}

/// A window that is closed, or a host that dies, takes a second of writing with it at most.
#[test]
fn a_line_is_kept_when_the_hand_pauses_and_written_on() {
    let mut open = listed();
    let wanted = |note: &str, open: &Open| Wish::Write(PencilMark { note: note.into(), ..second(open) });
    open.click("a line of your own");
    assert_eq!(open.frame(vec![Event::Text("too ".into())]).1, []);
    let wishes: Vec<Wish> = (0..30).flat_map(|_| open.frame(Vec::new()).1).collect();
    assert_eq!(wishes, [wanted("too", &open)], "once, after a second");
    Arc::make_mut(&mut open.view.pencil)[1].note = "too".into();
    assert_eq!(open.frame(vec![Event::Text("loud".into())]).1, []);
    assert_eq!(open.key(Key::Enter), [wanted("too loud", &open)]);
}

#[test]
fn esc_forgets_what_was_written_last_and_the_space_bar_is_the_hosts_outside_a_field() {
    let mut open = listed();
    open.click("a line of your own");
    open.frame(vec![Event::Text("no".into())]);
    assert_eq!(open.key(Key::Escape), []);
    assert!(open.find("a line of your own").is_some(), "empty again");
    assert_eq!(open.key(Key::Space), []);
}

#[test]
fn a_mark_is_ticked_as_dealt_with() {
    let mut open = listed();
    // The last tick is the third mark's, which is dealt with already.
    let third = PencilMark { dealt_with: false, ..open.view.pencil[2].clone() };
    assert_eq!(open.click("dealt with"), [Wish::Write(third)]);
}

#[test]
fn pointing_at_a_row_lights_its_flag() {
    let mut open = listed();
    assert!(!flag_is_lit(&mut open, "2"));
    let at = open.find("1:32").expect("it is written");
    open.frame(vec![Event::PointerMoved(at)]);
    assert!(flag_is_lit(&mut open, "2") && !flag_is_lit(&mut open, "1"));
}

#[test]
fn it_lies_in_the_window_and_scrolls_when_it_is_long() {
    for size in [DESIGNED, vec2(1600.0, 1000.0)] {
        let mut open = listed();
        open.size = size;
        open.frame(Vec::new());
        let (shapes, _) = open.frame(Vec::new());
        geometry::hold(&shapes, size, "the list");
    }
    let mut open = listed();
    open.size = SMALLEST;
    let many = |number: u32| PencilMark { number, ..open.view.pencil[0].clone() };
    open.view.pencil = (1..=12).map(many).collect();
    open.frame(Vec::new());
    let button = open.find("Back to the balance").expect("it stays");
    let first = open.find("1").expect("the first is there");
    let wheel = Event::MouseWheel {
        unit: egui::MouseWheelUnit::Point,
        delta: vec2(0.0, -80.0),
        modifiers: egui::Modifiers::NONE,
        phase: egui::TouchPhase::Move,
        source: egui::MouseWheelSource::Wheel,
    };
    open.frame(vec![Event::PointerMoved(first)]);
    open.frame(vec![wheel]);
    for _ in 0..20 {
        open.frame(Vec::new());
    }
    assert_eq!(open.find("Back to the balance"), Some(button));
    let shown = |open: &mut Open, number| open.find(number).is_some_and(|at| at.y > button.y);
    assert!(!shown(&mut open, "1") && shown(&mut open, "4"), "it has moved up");
}
