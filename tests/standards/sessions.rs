//! A session of work on a song: its figures are those of the whole song measured as a file, whatever was looped,
//! soloed, compared and pulled in between.

use candlemark_analysis::Position;
use candlemark_tests::measured::{AtWork, Heard, playing};
use candlemark_tests::signals::Noise;
use candlemark_tests::song::{RATE, same_figures, song};

/// At 120 quarter notes a minute a cell is a second.
const FRAMES_PER_BEAT: usize = 24_000;

/// Plays from a second of the song to another, what sounds being made of the song's frames.
fn play(
    work: &mut AtWork,
    song: &[Vec<f32>; 2],
    from_s: usize,
    to_s: usize,
    sound: impl Fn(usize, [f32; 2]) -> [f32; 2],
) {
    play_as(work, song, from_s, to_s, false, sound);
}

fn play_as(
    work: &mut AtWork,
    song: &[Vec<f32>; 2],
    from_s: usize,
    to_s: usize,
    offline: bool,
    sound: impl Fn(usize, [f32; 2]) -> [f32; 2],
) {
    let start = from_s * 48_000;
    let frames: Vec<[f32; 2]> = (start..to_s * 48_000).map(|n| sound(n, [song[0][n], song[1][n]])).collect();
    let [left, right] = [0, 1].map(|side| frames.iter().map(|frame| frame[side]).collect::<Vec<f32>>());
    work.play([&left, &right], 480, |at| {
        let at = start + at;
        let position = playing(at as f64 / FRAMES_PER_BEAT as f64, 120.0);
        Position { song_frame: Some(at as i64), offline, ..position }
    });
    // The host stops, and a second and a half of silence passes.
    work.stop(480, 150 * 480);
}

fn as_it_is(_: usize, frame: [f32; 2]) -> [f32; 2] {
    frame
}

#[test]
fn a_song_heard_once_measures_as_a_file() {
    let song = song();
    let file = Heard::stereo(RATE, &song[0], &song[1]).figures(RATE);
    let mut session = AtWork::new(RATE);
    play(&mut session, &song, 0, 48, as_it_is);
    same_figures(&session.desk.figures(), &file);
}

#[test]
fn loops_solos_records_and_pulls_leave_the_song_as_it_is() {
    let song = song();
    let file = Heard::stereo(RATE, &song[0], &song[1]).figures(RATE);
    let mut session = AtWork::new(RATE);
    play(&mut session, &song, 0, 48, as_it_is);

    // The third part looped twenty times.
    for _ in 0..20 {
        play(&mut session, &song, 24, 36, as_it_is);
    }
    same_figures(&session.desk.figures(), &file);

    // A solo: a single tone of the song's own level.
    play(&mut session, &song, 12, 24, |n, _| [0.05 * (n as f32 * 0.05).sin(); 2]);
    assert!(session.desk.is_aside(), "the solo");
    same_figures(&session.desk.figures(), &file);

    // A record ten decibels louder, of another balance.
    let record = Noise::new(9).white(48 * 48_000, 0.25);
    play(&mut session, &song, 0, 24, |n, _| [record[n]; 2]);
    assert!(session.desk.is_aside(), "the record");
    same_figures(&session.desk.figures(), &file);

    // The fader pulled down ten decibels is the song, until it is up again.
    play(&mut session, &song, 36, 48, |_, frame| frame.map(|x| x * 0.316));
    assert!(!session.desk.is_aside(), "the fader");
    let strip = session.desk.strip();
    let last = strip.last().unwrap();
    let pulled = last.latest.unwrap().0 - last.before.unwrap().0;
    assert!((pulled + 10.0).abs() < 1.0, "{pulled}");
    play(&mut session, &song, 36, 48, as_it_is);
    same_figures(&session.desk.figures(), &file);

    // A jump into the middle, a bar, and another jump.
    play(&mut session, &song, 30, 32, as_it_is);
    play(&mut session, &song, 7, 9, as_it_is);
    same_figures(&session.desk.figures(), &file);

    // An offline render of the whole.
    play_as(&mut session, &song, 0, 48, true, as_it_is);
    assert!(!session.desk.is_aside(), "the render");
    same_figures(&session.desk.figures(), &file);
}

/// What was aside becomes the song when the person keeps it.
#[test]
fn a_real_change_can_be_kept() {
    let song = song();
    let mut session = AtWork::new(RATE);
    play(&mut session, &song, 0, 48, as_it_is);
    let other = Noise::new(10).white(48 * 48_000, 0.2);
    play(&mut session, &song, 0, 48, |n, _| [other[n], other[n]]);
    assert!(session.desk.is_aside());
    session.desk.keep_aside();
    assert!(!session.desk.is_aside());
    let file = Heard::stereo(RATE, &other, &other).figures(RATE);
    same_figures(&session.desk.figures(), &file);
}

#[test]
fn the_strip_shows_the_song_by_its_position() {
    let song = song();
    let mut session = AtWork::new(RATE);
    // The last part first, then the first: the strip lies in the song's order all the same.
    play(&mut session, &song, 36, 48, as_it_is);
    play(&mut session, &song, 0, 12, as_it_is);
    let strip = session.desk.strip();
    assert_eq!(strip.len(), 24);
    assert!(strip.is_sorted_by(|a, b| a.song_s < b.song_s));
    assert!((strip[0].song_s - 1.0).abs() < 1e-6 && (strip[12].song_s - 37.0).abs() < 1e-6);
    assert!(strip.iter().all(|point| point.before.is_none() && !point.aside));
    assert!(strip.iter().all(|point| point.latest.unwrap().0 >= point.mono.unwrap().0 - 1e-9));
    play(&mut session, &song, 0, 4, as_it_is);
    assert_eq!(session.desk.strip().iter().filter(|point| point.before.is_some()).count(), 4);
}
