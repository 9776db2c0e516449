//! A file is played and measured, heard or not.

use std::thread::sleep;
use std::time::Duration;

use candlemark_files::measure;
use candlemark_session::figures::SongFigures;
use candlemark_tests::passing::BAIT;
use candlemark_tests::x11::changes;
use tempfile::TempDir;

use crate::desk::{Desk, noise};

fn folder() -> TempDir {
    TempDir::new().expect("a temporary folder can be made")
}

#[test]
fn a_file_is_played_without_a_sound_device_and_the_window_stays_at_its_end() {
    let folder = folder();
    let path = folder.path().join("song.wav");
    noise(8.0, 1).write_wav(&path);
    let mut desk = Desk::start([&path]);
    let first = desk.first_picture();
    desk.wait_for_a_song(&first);
    let on_the_way = desk.picture();
    desk.wait_for_a_picture("the next figures", |now| changes(now, &on_the_way) > 0);
    let playing = desk.wait_until_it_shows("the file's fourth second", |shown| {
        shown.view.playhead_s.is_some_and(|at_s| at_s > 3.0)
    });
    assert!(!playing.offline && playing.view.short_term.is_some(), "{playing:?}");

    let over = desk.wait_until_it_shows("the file's end", |shown| {
        shown.view.playhead_s.is_none() && shown.view.song.duration_s > 7.5
    });
    same_figures(&over.view.song, &measure(&path, |_| ()).expect("the file can be measured").figures);
    let later = desk.wait_until_it_shows("two seconds more", |shown| shown.readings > over.readings + 20);
    assert_eq!(later.view.song, over.view.song, "something goes on after the end");
    assert_eq!(later.view.playhead_s, None);

    let told = desk.close().well();
    assert!(told.contains("without being heard"), "{told}");
    assert!(!told.contains("ALSA lib"), "{told}");
}

/// A file of whole seconds, heard as a song of whole cells, is the same sound: what differs is the gating of blocks that
/// reach over a cell's border, which in noise of one level is far below these bounds.
fn same_figures(song: &SongFigures, file: &SongFigures) {
    assert_eq!(song.duration_s, file.duration_s);
    let near =
        |song: f64, file: f64, within: f64| assert!((song - file).abs() < within, "{song} is not {file}");
    near(song.integrated.unwrap().0, file.integrated.unwrap().0, 0.05);
    near(song.true_peak_dbtp.unwrap().0, file.true_peak_dbtp.unwrap().0, 0.05);
    near(song.fold.db().unwrap().0, file.fold.db().unwrap().0, 0.05);
    for (song, file) in song.bands.iter().zip(&file.bands) {
        near(song.level.unwrap().0, file.level.unwrap().0, 0.5);
    }
}

#[test]
fn a_file_that_is_played_again_is_the_same_song() {
    let folder = folder();
    let path = folder.path().join("song.wav");
    noise(4.0, 2).write_wav(&path);
    let mut desk = Desk::start([path.as_os_str(), "--again".as_ref()]);
    desk.first_picture();
    // A hundred readings are two rounds and a half.
    let later = desk.wait_until_it_shows("the third round", |shown| shown.readings > 100);
    assert_eq!(later.view.song.duration_s, 4.0, "a round lengthened the song");
    assert!(later.view.playhead_s.is_some_and(|at_s| (0.0..=4.0).contains(&at_s)), "{later:?}");
    desk.terminate().well();
}

#[test]
fn a_window_without_a_file_opens_and_shows_silence() {
    let mut desk = Desk::start(["--backend", "dummy"]);
    desk.first_picture();
    let shown = desk.wait_until_it_shows("three seconds", |shown| shown.readings >= 30);
    assert_eq!(shown.view.song.duration_s, 0.0, "a song came out of silence");
    assert_eq!(shown.view.playhead_s, None);
    desk.terminate().well();
}

#[test]
fn without_any_sound_system_it_opens_all_the_same_and_says_so() {
    let mut desk = Desk::start([] as [&str; 0]);
    desk.first_picture();
    let told = desk.close().well();
    for part in ["no JACK server runs", "alsa", "nothing comes in"] {
        assert!(told.contains(part), "{part:?} is not in {told:?}");
    }
    assert!(!told.contains("ALSA lib"), "{told}");
}

#[test]
fn of_a_file_that_breaks_off_what_there_is_is_played_and_the_rest_is_told() {
    let folder = folder();
    let song = folder.path().join("cut.wav");
    noise(6.0, 3).write_wav(&song);
    let whole = std::fs::read(&song).expect("the file can be read");
    std::fs::write(&song, &whole[..whole.len() * 2 / 3]).expect("the file can be cut");
    let mut desk = Desk::start([&song]);
    let first = desk.first_picture();
    desk.wait_for_a_song(&first);
    // All four seconds of it have been read when the first two have been heard.
    sleep(Duration::from_secs(2));
    let ended = desk.close();
    assert_eq!(ended.status, Some(2), "{}", ended.told);
    assert!(ended.told.contains("cut.wav: too short"), "{}", ended.told);
}

/// A debug build of the plugin allocates once a block when it is told to, so that a test does not trust a trap that is
/// not set.
#[test]
fn an_allocation_on_the_audio_thread_ends_a_debug_build() {
    let desk = Desk::start_with(["--backend", "dummy"], &[(BAIT, "1".as_ref())]);
    let ended = desk.wait_for_its_end();
    assert_eq!(ended.status, None, "{}", ended.told);
    assert!(ended.told.contains("memory allocation of"), "{}", ended.told);
}
