//! Songs: their candle, their page, and what is tapped in the dark.

use candlemark_session::candle::{Flame, Times};
use candlemark_session::chair::{AtChair, Knob};
use candlemark_session::song_page::SongId;

use super::*;

/// An instance with a song that has sounded for so long, and that song.
fn sounding(seconds: usize) -> (Instance, SongId) {
    let mut instance = Instance::new();
    instance.live(seconds);
    let song = instance.wait_for("a song", |shown| shown.song.is_some()).song.clone();
    (instance, song.unwrap())
}

#[test]
fn a_tap_in_the_dark_is_on_the_page_in_the_project_and_in_the_journal() {
    let _alone = alone();
    let (mut instance, id) = sounding(2);
    instance.order(Order::LightsOut(true));
    let shown = instance.wait_for("it", |shown| shown.view.dark.is_some());
    assert_eq!(shown.view.dark.map(|dark| dark.waits), Some(true));
    instance.live(4);
    instance.wait_for("it", |shown| shown.view.dark.is_some_and(|dark| !dark.waits));
    instance.order(Order::Mark);
    instance.keeper.told.lock().unwrap().taps += 1;
    let shown = instance.wait_for("it", |shown| shown.view.pencil.len() == 2);
    let [first, second] = &shown.view.pencil[..] else { panic!("{:?}", shown.view.pencil) };
    assert_eq!((first.number, second.number, first.listen), (1, 2, 1));
    assert!(first.read.short_term.is_some(), "what the meters read there");
    // A note is written beside it.
    let mut noted = first.clone();
    noted.note = " too\nloud ".into();
    noted.dealt_with = true;
    instance.order(Order::Write(noted));
    let shown = instance.wait_for("it", |shown| shown.view.pencil.iter().any(|mark| mark.dealt_with));
    assert_eq!(shown.view.pencil[0].note, "too loud");
    // Playback has stopped: the pass is over by itself.
    let shown = instance.wait_for("it", |shown| shown.view.dark.is_none() && !shown.view.listens.is_empty());
    assert_eq!((shown.view.listens[0].number, shown.song.as_ref()), (1, Some(&id)));

    let kept = instance.keeper.songs.lock().unwrap().clone();
    assert_eq!(kept.current().map(|page| (page.id.clone(), page.marks().len())), Some((id.clone(), 2)));
    drop(instance);
    let (_, found) = journals().unwrap().open(&id).unwrap();
    assert_eq!(found.page.marks(), kept.current().unwrap().marks());
    assert_eq!((found.cut_bytes, found.unreadable, found.page.listens().len()), (0, 0, 1));
}

#[test]
fn a_song_is_gone_on_with_when_its_project_is_opened_again_and_another_begins_clean() {
    let _alone = alone();
    let (mut instance, id) = sounding(3);
    instance.order(Order::NameSong("Low Water".into()));
    let shown = instance.wait_for("it", |shown| shown.view.song_name.is_some());
    assert_eq!(shown.song.as_ref(), Some(&id));
    assert_eq!((shown.view.candle.flame(), shown.songs.len()), (Flame::Burning, 1));
    instance.order(Order::NewSong);
    let shown = instance.wait_for("it", |shown| shown.song.as_ref() != Some(&id));
    assert_eq!((shown.view.candle.flame(), shown.view.song_name.as_deref()), (Flame::Unlit, None));
    instance.wait_for("it", |shown| shown.view.song.duration_s == 0.0);
    instance.live(2);
    instance.wait_for("it", |shown| shown.songs.len() == 2);
    instance.order(Order::OpenSong(id.clone()));
    let shown = instance.wait_for("it", |shown| shown.song.as_ref() == Some(&id));
    assert_eq!(shown.view.song_name.as_deref(), Some("Low Water"));
    let songs = instance.keeper.songs.lock().unwrap().clone();
    drop(instance);

    let again = Instance::new();
    *again.keeper.opened_songs.lock().unwrap() = Some(songs);
    let shown = again.wait_for("it", |shown| shown.song.is_some());
    assert_eq!((shown.song.as_ref(), shown.view.song_name.as_deref()), (Some(&id), Some("Low Water")));
    assert!(shown.view.candle.burnt_s() > 0.0);
    assert_eq!(shown.view.candle.flame(), Flame::Out, "until it sounds");
}

#[test]
fn a_project_in_which_nothing_has_sounded_holds_no_song() {
    let _alone = alone();
    let instance = Instance::new();
    instance.order(Order::RestNow);
    instance.order(Order::Mark);
    instance.order(Order::LookAtShelf);
    instance.seat.work();
    let shown = instance.wait_for("it", |shown| shown.view.candle.times() == Times::default());
    assert_eq!((shown.song.clone(), shown.songs.len(), shown.view.candle.flame()), (None, 0, Flame::Unlit));
    assert_eq!(*instance.keeper.songs.lock().unwrap(), Songs::default());
}

#[test]
fn the_second_instance_in_a_project_plays_the_same_song() {
    let _alone = alone();
    let mut other = Instance::new();
    let (one, id) = sounding(2);
    other.live(2);
    assert_eq!(other.wait_for("it", |shown| shown.song.is_some()).song, Some(id));
    other.order(Order::NameSong("Low Water".into()));
    one.wait_for("it", |shown| shown.view.song_name.as_deref() == Some("Low Water"));
}

/// There is one candle: where one window leaves the song, the other follows, and back again.
#[test]
fn windows_that_play_together_go_to_the_next_song_together() {
    let _alone = alone();
    let mut other = Instance::new();
    let (mut one, first) = sounding(1);
    let first = Some(first);
    other.live(1);
    other.wait_for("it", |shown| shown.song == first);
    one.order(Order::NameSong("Low Water".into()));
    one.wait_for("its name", |shown| shown.view.song_name.is_some());
    both_live(&mut one, &mut other);
    other.order(Order::NewSong);
    let next = other.wait_for("the next", |shown| shown.song != first).song.clone();
    one.wait_for("the same", |shown| shown.song == next && shown.view.song_name.is_none());
    both_live(&mut one, &mut other);
    one.order(Order::OpenSong(first.clone().unwrap()));
    one.wait_for("the first again", |shown| shown.song == first);
    other.wait_for("it too", |shown| shown.song == first);
    thread::sleep(3 * ROUND);
    assert_eq!(
        (one.seat.shown().song.clone(), other.seat.shown().song.clone()),
        (first.clone(), first.clone())
    );
    // Another project in the same host, which plays by itself.
    other.live(3);
    other.order(Order::NewSong);
    other.wait_for("a song of its own", |shown| shown.song != first);
    thread::sleep(3 * ROUND);
    assert_eq!(one.seat.shown().song, first);
}

/// A second of sound in both at once.
fn both_live(one: &mut Instance, other: &mut Instance) {
    for _ in 0..10 {
        one.blocks([SINE; 2], 10, false);
        other.blocks([SINE; 2], 10, false);
        thread::sleep(Duration::from_millis(100));
    }
}

#[test]
fn a_mark_of_the_knob_tells_the_level_and_is_there_for_the_next_session_to_confirm() {
    let _alone = alone();
    let at_chair = |shown: &Shown| shown.view.at_chair;
    let mut instance = Instance::new();
    let nowhere = instance.wait_for("the first round", |shown| shown.view.candle.times() == Times::default());
    assert_eq!(at_chair(&nowhere), AtChair::NoMark);
    instance.order(Order::MarkMonitor(Knob::Quiet, 300.0));
    let told = instance.wait_for("a refusal", |shown| shown.trouble.is_some());
    assert!(told.trouble.as_deref().is_some_and(|trouble| trouble.contains("300 dBA")), "{:?}", told.trouble);
    instance.order(Order::MarkMonitor(Knob::Quiet, 60.0));
    instance.live(1);
    let shown = instance.wait_for(
        "a level",
        |shown| matches!(at_chair(shown), AtChair::Level(level) if level.now_dba.is_some()),
    );
    assert!(shown.view.as_heard.is_some() && shown.trouble.is_none());
    drop(instance);
    let next = Instance::new();
    next.wait_for("the mark", |shown| at_chair(shown) == AtChair::Unconfirmed(Knob::Quiet));
    next.order(Order::ConfirmMonitor);
    next.wait_for("a level", |shown| matches!(at_chair(shown), AtChair::Level(_)));
    std::fs::remove_file(monitor().unwrap().path()).unwrap();
}

#[test]
fn a_state_of_before_the_first_sound_takes_no_song_away() {
    let _alone = alone();
    let (instance, id) = sounding(1);
    instance.order(Order::NameSong("Low Water".into()));
    instance.wait_for("its name", |shown| shown.view.song_name.is_some());
    let kept = instance.keeper.songs.lock().unwrap().clone();
    *instance.keeper.songs.lock().unwrap() = Songs::default();
    *instance.keeper.opened_songs.lock().unwrap() = Some(Songs::default());
    wait("what is kept anew", || (*instance.keeper.songs.lock().unwrap() == kept).then_some(()));
    let shown = instance.seat.shown();
    assert_eq!((shown.song.as_ref(), shown.view.song_name.as_deref()), (Some(&id), Some("Low Water")));
}

#[test]
fn an_undo_past_the_start_of_a_song_takes_it_from_nobody() {
    let _alone = alone();
    let (instance, first) = sounding(1);
    instance.wait_for("it is listed", |shown| shown.songs.len() == 1);
    let before = instance.keeper.songs.lock().unwrap().clone();
    instance.order(Order::NewSong);
    instance.wait_for("another", |shown| shown.song.as_ref().is_some_and(|song| *song != first));
    instance.order(Order::NameSong("Low Water".into()));
    instance.wait_for("both", |shown| shown.songs.len() == 2 && shown.view.song_name.is_some());
    *instance.keeper.opened_songs.lock().unwrap() = Some(before);
    let shown = instance.wait_for("the first again", |shown| shown.song.as_ref() == Some(&first));
    assert!(shown.songs.iter().any(|(_, name)| name == "Low Water"), "{:?}", shown.songs);
    wait("the project's own", || (instance.keeper.songs.lock().unwrap().pages().len() == 2).then_some(()));
}

/// The lights may go out before the song has sounded here, and is known to be one that was listened to before.
#[test]
fn a_pass_that_was_begun_before_the_first_sound_has_the_next_number() {
    let _alone = alone();
    let mut other = Instance::new();
    let (mut one, id) = sounding(1);
    one.order(Order::LightsOut(true));
    one.live(2);
    one.wait_for("the first pass", |shown| shown.view.listens.len() == 1);
    other.order(Order::LightsOut(true));
    other.live(2);
    assert_eq!(other.wait_for("the same song", |shown| shown.song.is_some()).song, Some(id));
    other.order(Order::Mark);
    let shown = other.wait_for("the second pass", |shown| shown.view.listens.len() == 2);
    let numbers: Vec<u32> = shown.view.listens.iter().map(|listen| listen.number).collect();
    assert_eq!((numbers, shown.view.pencil[0].listen), (vec![1, 2], 2));
}

#[test]
fn the_room_that_was_told_is_doubted_but_not_on_headphones() {
    let _alone = alone();
    let told = Room { sides_m: [4.7, 4.1, 3.1], rt60_s: None, from_wall_m: None, speakers_from_hz: None };
    room().unwrap().save(&told).unwrap();
    let doubted: Vec<f64> = told.doubt().unwrap().doubted().map(|band| band.nominal.0).collect();
    assert!(!doubted.is_empty());
    let instance = Instance::new();
    instance.wait_for("the doubt", |shown| shown.view.room_doubt_hz == doubted);
    instance.keeper.told.lock().unwrap().headphones = true;
    instance.wait_for("none of it", |shown| shown.view.room_doubt_hz.is_empty());
    std::fs::remove_file(room().unwrap().path()).unwrap();
}

/// An answer in one window is the other's too, and nothing goes to and fro: the journal does not grow.
#[test]
fn two_windows_on_one_song_agree_on_what_is_meant() {
    let _alone = alone();
    let mut other = Instance::new();
    let (one, id) = sounding(1);
    other.live(1);
    other.wait_for("the same", |shown| shown.song.as_ref() == Some(&id));
    let meant = Meant { id: "dc".into(), text: "There is DC.".into(), figure: Some(-30.0), bands_hz: None };
    *one.keeper.opened.lock().unwrap() = Some(vec![meant.clone()]);
    one.wait_for("it is meant", |shown| shown.meant == [meant.clone()]);
    other.wait_for("it is meant here too", |shown| shown.meant == [meant.clone()]);
    let length = || std::fs::metadata(journals().unwrap().path_of(&id)).unwrap().len();
    let before = length();
    thread::sleep(Duration::from_secs(1));
    assert!(length() - before < 500, "{} bytes in a second", length() - before);
    assert_eq!(one.seat.shown().meant, [meant]);
}
