//! Remarks on drift, on a song that is played over and over to a host's transport.

use candlemark_session::desk::Desk;
use candlemark_session::drift::Drifts;
use candlemark_session::remarks::{Given, Remark, Remarks};
use candlemark_tests::measured::{AtWork, playing};
use candlemark_tests::sound::Sound;

use super::NOTHING;
use super::material::{Parts, RATE, bell};

const SONG_S: f64 = 24.0;

/// Plays the song from its beginning, three times.
fn play(work: &mut AtWork, sound: &Sound) {
    for _ in 0..3 {
        work.play([&sound.left, &sound.right], 500, |at| playing(at as f64 / (RATE / 2.0), 120.0));
        work.stop(500, 128 * 500);
    }
}

fn said(desk: &Desk) -> Vec<Remark> {
    let (song, drifts): (_, Drifts) = (desk.figures(), desk.drifts());
    let brighter =
        |moved: &Option<candlemark_session::drift::Moved>| moved.as_ref().and_then(|moved| moved.brighter_db);
    println!(
        "brighter: since the rest {:?}, since the start {:?}",
        brighter(&drifts.since_rest),
        brighter(&drifts.since_start)
    );
    let said = Remarks::default().on(&Given { drifts: Some(&drifts), ..Given::of_song(&song, None) });
    let bands = drifts.since_start.iter().flat_map(|moved| &moved.bands_db).flatten();
    println!("by band: {:.1?}", bands.map(|db| db.0).collect::<Vec<_>>());
    for remark in &said {
        println!("{}: {}", remark.id, remark.text);
    }
    said
}

/// What is said after the song was played, and then played with a bell over it; after a rest between or without one.
fn said_after(rested: bool, hertz: f64, q: f64, db: f64) -> Vec<(String, String)> {
    let song = Parts::new(3000, SONG_S, 0.0).sound();
    let mut work = AtWork::new(RATE);
    play(&mut work, &song);
    if rested {
        work.desk.rest();
        play(&mut work, &song);
    }
    play(&mut work, &bell(&song, hertz, q, db));
    said(&work.desk).into_iter().map(|remark| (remark.id, remark.text)).collect()
}

#[test]
fn a_song_that_got_brighter_or_duller_is_told() {
    for (rested, since) in [(false, "its first passes"), (true, "the last rest")] {
        for (db, way) in [(4.65, "brighter"), (-4.65, "duller")] {
            let said = said_after(rested, 5600.0, 0.45, db);
            let text = format!(
                "The mix has got 3 dB {way} since {since}. Turn down, and hear a record before you go on."
            );
            assert_eq!(said, [("drift".to_owned(), text)]);
            assert_eq!(said_after(rested, 5600.0, 0.45, 0.8 * db), []);
        }
    }
}

#[test]
fn three_bands_that_came_up_are_told() {
    let said = said_after(false, 500.0, 1.4, 7.0);
    let text = "400–630 Hz has come up by 5 dB since its first passes. Turn down, and hear a record before you go on.";
    assert_eq!(said, [("drift-bands".to_owned(), text.to_owned())]);
    let short: Vec<String> = said_after(false, 500.0, 1.4, 5.6).into_iter().map(|(id, _)| id).collect();
    assert_eq!(short, NOTHING);
}
