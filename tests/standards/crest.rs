//! The crest factor, against closed forms: of a file, and of the same sound as a song that is worked on.

use candlemark_analysis::{Channels, Hertz};
use candlemark_session::desk::Desk;
use candlemark_tests::measured::Heard;
use candlemark_tests::signals::sine;

const RATE: f64 = 48_000.0;

fn crest_db(left: &[f32], right: &[f32]) -> f64 {
    let heard = Heard::stereo(RATE, left, right);
    let song = Desk::of_song(Hertz(RATE), Channels::Stereo);
    let file = heard.figures(RATE).crest.expect("it sounds").0;
    let worked_on = heard.figures_of(song).crest.expect("it sounds").0;
    assert!((file - worked_on).abs() < 0.02, "{file} as a file, {worked_on} as a song");
    file
}

/// Peak over root mean square: 1 of a square, √2 of a sine, 2 of two equal sines of unrelated frequencies.
#[test]
fn of_a_square_a_sine_and_two_sines() {
    let square: Vec<f32> = (0..480_000).map(|n| if n / 24 % 2 == 0 { 0.5 } else { -0.5 }).collect();
    let tone = sine(RATE, 997.0, -6.0, 0.0, 10.0);
    // Their tops fall together many times in ten seconds.
    let two: Vec<f32> =
        tone.iter().zip(sine(RATE, 1511.0, -6.0, 0.0, 10.0)).map(|(one, other)| one + other).collect();
    for (what, sound, expected) in
        [("a square", &square, 0.0), ("a sine", &tone, 3.0103), ("two sines", &two, 6.0206)]
    {
        let crest = crest_db(sound, sound);
        assert!((crest - expected).abs() < 0.02, "{what}: {crest} dB for {expected}");
    }
    // In one channel alone there is half the power.
    let crest = crest_db(&tone, &vec![0.0; tone.len()]);
    assert!((crest - 6.0206).abs() < 0.02, "one side: {crest}");
}
