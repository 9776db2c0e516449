//! Sound of which there is nothing to say. But for silence and what is too short to be a song, each holds more than a minute of
//! gated sound, and stands beside three records of its kind: every rule that looks at sound is awake.

use candlemark_session::yardstick::Yardstick;
use candlemark_tests::signals::{Noise, sine};
use candlemark_tests::sound::Sound;

use super::material::{Parts, RATE, bell, limited};
use super::{NOTHING, RECORDS, SECONDS, figures, ids, three};

fn frames(seconds: f64) -> usize {
    (seconds * RATE) as usize
}

fn silence(seconds: f64) -> Sound {
    Sound::in_both(RATE, vec![0.0; frames(seconds)])
}

fn joined(first: &Sound, then: &Sound) -> Sound {
    let join = |first: &[f32], then: &[f32]| [first, then].concat();
    Sound::stereo(RATE, join(&first.left, &then.left), join(&first.right, &then.right))
}

fn first(sound: &Sound, seconds: f64) -> Sound {
    sound.by_side(|side| side[..frames(seconds)].to_vec())
}

/// Two beats a second of a click, the same on both sides.
fn clicks(seconds: f64) -> Sound {
    let mut clicks = vec![0f32; frames(seconds)];
    for beat in 0..(2.0 * seconds) as usize {
        let click = sine(RATE, 1000.0, -12.0, 0.0, 0.01);
        let at = beat * frames(0.5);
        clicks[at..at + click.len()].copy_from_slice(&click);
    }
    Sound::in_both(RATE, clicks)
}

/// Chords of noise, one every so many seconds, of which a reverb leaves a tail: two sides that have nothing in common.
fn tails(seed: u64, seconds: f64, every_s: f64, tilt_db: f64) -> Sound {
    let side = |side: u64| -> Vec<f32> {
        let noise = Noise::new(seed + side).white(frames(seconds), 0.1);
        let every = frames(every_s);
        noise
            .iter()
            .enumerate()
            .map(|(n, x)| x * (-((n % every) as f32) / (2.0 * RATE as f32)).exp())
            .collect()
    };
    bell(&Sound::stereo(RATE, side(1), side(2)), 9000.0, 0.4, tilt_db)
}

/// Two players, each hard on a side.
fn pair(seed: u64, seconds: f64, tilt_db: f64) -> Sound {
    let [left, right] = [1, 2].map(|player| Parts::new(seed + 10 * player, seconds, tilt_db).sound().left);
    Sound::stereo(RATE, left, right)
}

/// Says nothing, awake.
fn quiet(what: &str, sound: &Sound, yardstick: &Yardstick) {
    let gated_s = figures(sound).gated_s;
    assert!(gated_s >= 60.0, "{what}: {gated_s} s of gated sound");
    assert_eq!(ids(sound, Some(yardstick)), NOTHING, "{what}");
    assert_eq!(ids(sound, None), NOTHING, "{what}, without records");
}

#[test]
fn what_is_no_song_yet_is_left_alone() {
    let parts = Parts::new(1000, SECONDS, 0.0);
    let squeezed = limited(&bell(&parts.sound(), 3500.0, 0.9, 6.0), 12.0, 0.8);
    for (what, sound) in [
        ("silence", silence(SECONDS)),
        ("an intro that is out of phase", first(&parts.mixed(0.0..SECONDS), 30.0)),
        ("a bright and squeezed intro", first(&squeezed, 50.0)),
        ("a count-in alone", clicks(4.0)),
        ("a reverb's tail alone", tails(1010, 30.0, 30.0, 0.0)),
    ] {
        assert_eq!(ids(&sound, Some(&RECORDS)), NOTHING, "{what}");
    }
}

#[test]
fn nothing_is_said_of_intros_fades_breakdowns_and_solos() {
    let parts = Parts::new(1000, 100.0, 0.0);
    let song = parts.sound();
    quiet("the song", &song, &RECORDS);
    // One player alone on the left, for less than makes a dead side.
    let mut one_sided = first(&Parts::new(1040, 20.0, 0.0).sound(), 18.0);
    one_sided.right.fill(0.0);
    one_sided.left.iter_mut().for_each(|x| *x *= 0.25);
    quiet("an intro on the left alone", &joined(&one_sided, &song), &RECORDS);
    let mut faded = song.clone();
    let (from, last) = (frames(70.0), faded.left.len());
    for (n, (l, r)) in faded.left.iter_mut().zip(&mut faded.right).enumerate().skip(from) {
        let gain = (1.0 - (n - from) as f32 / (last - from) as f32).powi(2);
        (*l, *r) = (*l * gain, *r * gain);
    }
    quiet("a song that fades over half a minute", &faded, &RECORDS);
    quiet("a breakdown", &parts.broken_down(20.0..40.0), &RECORDS);
    quiet("a solo", &parts.solo(20.0..35.0), &RECORDS);
    let silent = silence(20.0);
    quiet("a song between silences", &joined(&joined(&silent, &song), &silent), &RECORDS);
    assert_eq!(ids(&Sound { right: Vec::new(), ..song }, Some(&RECORDS)), NOTHING, "one channel");
}

#[test]
fn nothing_is_said_of_count_ins_and_clicks() {
    let song = Parts::new(1050, 70.0, 0.0).sound();
    quiet("a count-in before a song", &joined(&clicks(4.0), &song), &RECORDS);
    let click = clicks(66.0);
    let gated_s = figures(&click).gated_s;
    assert!(gated_s >= 60.0, "{gated_s}");
    assert_eq!(ids(&click, None), NOTHING, "a click track");
    // Beside songs it is no song, and nothing else is said of it.
    assert_eq!(ids(&click, Some(&RECORDS)), ["unlike-records"], "a click track beside songs");
}

#[test]
fn nothing_is_said_of_a_hard_panned_pair_among_pairs() {
    let pairs = three(&[pair(1100, 66.0, -3.0), pair(1130, 66.0, 0.0), pair(1160, 66.0, 3.0)]);
    quiet("a hard-panned pair", &pair(1190, 70.0, 0.5), &pairs);
}

#[test]
fn nothing_is_said_of_reverb_tails() {
    let song = Parts::new(1060, 70.0, 0.0).sound();
    let tail = tails(1070, 20.0, 20.0, 0.0).times(0.5);
    quiet("a song that ends in a tail", &joined(&song, &tail), &RECORDS);
    let drenched =
        three(&[tails(1200, 72.0, 3.0, -3.0), tails(1230, 72.0, 3.0, 0.0), tails(1260, 72.0, 3.0, 3.0)]);
    quiet("a minute of tails", &tails(1290, 78.0, 3.0, 0.5), &drenched);
}

#[test]
fn a_sparse_song_beside_dense_ones_is_not_like_them() {
    // A whistle and its breath.
    let mut breath = Noise::new(1100);
    let tone = sine(RATE, 1200.0, -18.0, 0.0, SECONDS);
    let whistle: Vec<f32> = tone.iter().map(|x| x + breath.gaussian(0.0002) as f32).collect();
    let remarks = ids(&Sound::in_both(RATE, whistle), Some(&RECORDS));
    assert_eq!(remarks, ["unlike-records"]);
}
