//! What an evening brings: rests, pencil marks, the chair, and the lights out.

use std::sync::Arc;

use candlemark_analysis::{Db, Lufs};
use candlemark_editor::Wish;
use candlemark_session::as_heard::as_heard;
use candlemark_session::candle::{Activity, Candle};
use candlemark_session::chair::{AtChair, ChairLevel, Knob};
use candlemark_session::figures::Fold;
use candlemark_session::lights_out::Dark;
use candlemark_session::pencil::{MetersRead, PencilMark, SongPlace};
use candlemark_session::remarks::{Around, Given, Remarks};
use candlemark_session::view::View;
use candlemark_tests::picture::button;
use egui::epaint::ClippedShape;
use egui::{Color32, Event, Key, Pos2, Shape, vec2};

use crate::open::open;
use crate::seen::{has_text, lines, texts};
use crate::{DESIGNED, LAMP, draw, views};

fn mark(number: u32, song_s: f64, note: &str) -> PencilMark {
    let read = MetersRead {
        short_term: Some(Lufs(-18.4)),
        true_peak_dbtp: Some(Db(-3.1)),
        fold: Fold { kept: Some(0.5) },
        correlation: Some(0.2),
    };
    let at = SongPlace { song_s, beats: None };
    let note = note.to_owned();
    PencilMark { number, listen: 1, made_unix_s: 0.0, at, read, note, dealt_with: number == 3 }
}

/// After a lights-out pass: three marks, of which the last is dealt with.
pub(crate) fn marked() -> View {
    let marks = [mark(1, 40.0, "the bridge drags"), mark(2, 92.0, ""), mark(3, 210.0, "too bright")];
    View { pencil: Arc::from(marks), ..views::working() }
}

fn chair(now_dba: f64, over_meant_db: f64) -> AtChair {
    AtChair::Level(ChairLevel {
        knob: Knob::Quiet,
        now_dba: Some(now_dba),
        averaged_dba: Some(now_dba - 1.0),
        plus_minus_db: 3.1,
        listened_s: 2_460.0,
        niosh_day_share: 0.002,
        who_week_share: 0.012,
        over_meant_db: Some(over_meant_db),
    })
}

/// The level at the chair is known, and the room is not to be believed under 100 Hz.
pub(crate) fn at_the_chair() -> View {
    View {
        at_chair: chair(63.2, 0.4),
        room_doubt_hz: vec![25.0, 31.5, 40.0, 50.0, 63.0, 80.0],
        as_heard: Some(as_heard(63.0)),
        ..views::working()
    }
}

/// The same, louder than was meant.
pub(crate) fn loud_at_the_chair() -> View {
    let view = at_the_chair();
    let around = Around { chair_over_db: Some(9.0), ..Around::default() };
    let given = Given { around, ..Given::of_song(&view.song, None) };
    let remarks = Remarks::default().on(&given);
    View { at_chair: chair(77.0, 9.0), remarks, ..view }
}

/// After so many minutes of work without a rest.
fn worked(minutes: f64) -> Candle {
    let mut candle = Candle::default();
    candle.burn(60.0 * minutes);
    candle
}

/// A mark that was not confirmed in this session.
pub(crate) fn unconfirmed() -> View {
    View { at_chair: AtChair::Unconfirmed(Knob::Normal), ..views::working() }
}

/// A rest has been due for eight minutes.
pub(crate) fn rest_due() -> View {
    View { candle: worked(53.0), ..views::working() }
}

/// A rest is taken, of which eight minutes are to go.
pub(crate) fn resting() -> View {
    let mut candle = worked(47.0);
    candle.rest_now();
    candle.advance(240.0, Activity::Quiet);
    View { candle, ..views::working() }
}

/// The lights are out.
pub(crate) fn dark() -> View {
    View { dark: Some(Dark { waits: false, marks: 2 }), ..views::faults() }
}

#[test]
fn the_candle_has_a_notch_for_each_rest_and_says_when_the_next_is() {
    let picture = draw(&views::working(), &views::shelf(), DESIGNED, 1.0);
    let notches = lines(&picture.shapes, |[from, to], stroke| {
        from.y == to.y && to.x < 100.0 && (to.x - from.x - 40.0).abs() < 0.1 && stroke.color == LAMP.note
    });
    assert_eq!(notches, 2, "two hours, a rest every 45 minutes");
    // 69.6 minutes were worked, with a rest after 45.
    assert!(has_text(&picture, "rest in 21"), "{:?}", texts(&picture));
    assert!(
        !has_text(&draw(&views::just_opened(), &views::shelf(), DESIGNED, 1.0), "rest in"),
        "it is unlit"
    );
}

#[test]
fn a_rest_that_is_due_dims_the_picture_says_why_and_can_wait_twice() {
    let mut open = open();
    open.view = rest_due();
    assert!(
        open.find(
            "You have worked 53 min. Time for 12 min without sound. A key or a click lights the picture for five \
             minutes."
        )
        .is_some()
    );
    assert!(open.find("a rest is due").is_some());
    let why = open.find("a rest is due").expect("it is said");
    for (words, wish) in [("Rest now", Wish::RestNow), ("Later", Wish::PutRestOff)] {
        let place = open.find(words).expect("it can be answered");
        assert!(place.y < 40.0 && why.y > 600.0, "beside what is said on top: {place:?}");
        assert_eq!(open.click(words), [wish], "the first press answers");
    }
    assert_eq!(open.click("Aside"), [], "elsewhere it only wakes");
    let place = open.find("Rest now").expect("it can be answered");
    assert!(place.y > 600.0, "among the controls, now that it is lit: {place:?}");
    assert_eq!(open.click("Rest now"), [Wish::RestNow]);
    let put_off = |view: &mut View| {
        assert!(view.candle.put_rest_off());
        view.candle.burn(700.0);
    };
    put_off(&mut open.view);
    put_off(&mut open.view);
    assert_eq!(open.find("Later"), None, "twice is enough");
    open.view = views::working();
    assert_eq!(open.find("Later"), None, "none is due");
}

#[test]
fn a_rest_says_how_long_it_has_to_go() {
    let picture = draw(&resting(), &views::shelf(), DESIGNED, 1.0);
    assert!(has_text(&picture, "Resting, 8 min to go."), "{:?}", texts(&picture));
    assert!(has_text(&picture, "resting, 8 min"));
}

#[test]
fn pencil_marks_are_flags_on_the_strip_and_say_what_was_noted() {
    let mut open = open();
    open.view = marked();
    let dashes = |shapes: &[ClippedShape]| {
        lines(shapes, |[from, to], stroke| from.x == to.x && stroke.color == LAMP.note && to.y - from.y < 6.0)
    };
    let shapes = draw(&marked(), &views::shelf(), DESIGNED, 1.0).shapes;
    assert!(dashes(&shapes) >= 20, "two dashed lines: {}", dashes(&shapes));
    let flag = open.find("1").expect("its flag is there");
    open.frame(vec![Event::PointerMoved(flag + vec2(0.0, 30.0))]);
    let said = "mark 1, 0:40: the bridge drags (−18.4 LUFS, −3.1 dBTP, fold −3.0 dB, correlation +0.20)";
    assert!(open.find(said).is_some());
    open.frame(vec![Event::PointerMoved(flag + vec2(20.0, 30.0))]);
    assert_eq!(open.find(said), None);
}

#[test]
fn the_level_at_the_chair_is_shown_or_how_to_have_it() {
    let texts = |view: &View| texts(&draw(view, &views::shelf(), DESIGNED, 1.0));
    let known = texts(&at_the_chair());
    for words in ["≈ 63 dBA", "± 3 · quiet mark", "talking level"] {
        assert!(known.iter().any(|text| text == words), "{words}: {known:?}");
    }
    assert!(texts(&loud_at_the_chair()).contains(&"turn the knob down".to_owned()));
    assert!(texts(&views::working()).contains(&"mark your monitors to have it".to_owned()));
    for (at_chair, words) in [
        (AtChair::Headphones, "on headphones"),
        (AtChair::Unconfirmed(Knob::Quiet), "is the knob at “quiet”?"),
    ] {
        let said = texts(&View { at_chair, ..views::working() });
        assert!(said.iter().any(|text| text == words), "{words}: {said:?}");
    }
}

#[test]
fn the_knob_is_confirmed_where_it_is_asked_for_and_turned_among_the_settings() {
    let mut open = open();
    open.view.at_chair = AtChair::Unconfirmed(Knob::Quiet);
    assert_eq!(open.click("it is"), [Wish::ConfirmMonitor]);
    open.view.at_chair = AtChair::NoMark;
    assert_eq!(open.find("it is"), None);
    for (words, wish) in [("loud", Wish::TurnKnob(Knob::Loud)), ("headphones", Wish::Headphones(true))] {
        assert_eq!(open.click("Settings"), [], "it only opens");
        assert_eq!(open.click(words), [wish]);
    }
}

#[test]
fn elsewhere_stands_beside_the_records() {
    let view = views::working();
    let kept = view.elsewhere[0].kept_db.expect("the song has a balance");
    assert!(kept < 0.0);
    let picture = draw(&view, &views::shelf(), DESIGNED, 1.0);
    let figure = format!("{kept:.1}").replace('-', "−");
    assert!(texts(&picture).contains(&figure), "{figure}: {:?}", texts(&picture));
}

#[test]
fn where_the_room_is_in_doubt_dots_lie_behind_the_beads() {
    let dots = |view: &View| {
        let picture = draw(view, &views::shelf(), DESIGNED, 1.0);
        let dot = |shape: &Shape| matches!(shape, Shape::Rect(rect) if rect.fill == LAMP.rule && rect.rect.width() < 2.0);
        (
            picture.shapes.iter().filter(|clipped| dot(&clipped.shape)).count(),
            has_text(&picture, "dots: room doubt"),
        )
    };
    let (count, said) = dots(&at_the_chair());
    assert!(count > 200 && said, "{count} dots");
    assert_eq!(dots(&views::working()), (0, false));
}

#[test]
fn with_the_lights_out_all_is_black_but_an_ember_and_one_line_that_fades() {
    let mut open = open();
    open.view = dark();
    let first = open.texts();
    assert!(
        matches!(&first[..], [line] if line.starts_with("Dark until playback ends. Click or press M to mark")),
        "{first:?}"
    );
    open.now_s += 12.0;
    assert!(open.texts().is_empty(), "overs and faults are for later");
    let picture = draw(&dark(), &views::shelf(), DESIGNED, 1.0);
    let black = picture.pixels.iter().filter(|pixel| **pixel == Color32::BLACK).count();
    assert!(black as f64 > 0.95 * picture.pixels.len() as f64, "{black}");
}

#[test]
fn a_press_anywhere_and_m_mark_and_nothing_else_happens() {
    let mut open = open();
    let aside = open.find("Aside").expect("it is written");
    open.view = dark();
    open.frame(Vec::new());
    for at in [aside, Pos2::new(20.0, 20.0), Pos2::new(700.0, 300.0)] {
        open.frame(vec![Event::PointerMoved(at)]);
        assert_eq!(open.frame(vec![button(at, true)]).1, [Wish::Mark]);
        assert_eq!(open.frame(vec![button(at, false)]).1, []);
    }
    assert_eq!(open.key(Key::M), [Wish::Mark]);
    for key in [Key::A, Key::Space, Key::Tab, Key::Enter] {
        assert_eq!(open.key(key), [], "{key:?}");
    }
    assert_eq!(open.key(Key::Escape), [Wish::LightsOut(false)]);
    open.view = View { candle: views::spent().candle, ..dark() };
    assert_eq!(open.key(Key::M), [Wish::Mark], "a mark is never a waking");
    open.view.dark = None;
    assert!(
        open.find("The two hours are up. This is a good place to stop for today. A key or a click lights the picture for five minutes.").is_some()
    );
    open.view = views::working();
    assert_eq!(open.click("Lights out"), [Wish::LightsOut(true)]);
}

/// Some hosts keep Esc: who rests the pointer at the ember is shown another way out.
#[test]
fn a_pointer_that_rests_at_the_ember_is_shown_the_way_out() {
    let mut open = open();
    open.view = dark();
    let ember = egui::pos2(DESIGNED.x / 2.0, DESIGNED.y - 40.0);
    assert_eq!(open.find("end"), None);
    open.frame(vec![Event::PointerMoved(ember)]);
    assert_eq!(open.find("end"), None, "it may pass by");
    open.now_s += 1.0;
    let end = open.find("end").expect("it has rested there");
    assert!(end.x > DESIGNED.x - 64.0 && end.y > DESIGNED.y - 32.0, "{end:?}");
    assert_eq!(open.frame(vec![button(ember, true)]).1, [Wish::Mark], "a press elsewhere marks");
    open.frame(vec![button(ember, false), Event::PointerMoved(end)]);
    assert_eq!(open.frame(vec![button(end, true)]).1, [Wish::LightsOut(false)]);
    open.frame(vec![button(end, false), Event::PointerMoved(Pos2::new(200.0, 200.0))]);
    open.now_s += 7.0;
    assert_eq!(open.find("end"), None, "it is gone again");
    assert_eq!(open.frame(vec![button(end, true)]).1, [Wish::Mark]);
}
