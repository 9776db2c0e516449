//! Figures that no standard defines, on sounds of which they are known: ratios of peak to loudness, the low end and
//! octaves in mono, and health.

use candlemark_analysis::bands::mid_band;
use candlemark_analysis::{Channels, Hertz};
use candlemark_session::desk::Desk;
use candlemark_session::figures::SilentSide;
use candlemark_session::remarks::Around;
use candlemark_session::view::{Meaning, View, WorkedOut};
use candlemark_tests::measured::Heard;
use candlemark_tests::signals::{amplitude, sine};

const RATE: f64 = 48_000.0;

/// K-weighting at 1 kHz less what it is at 997 Hz, from the tables of ITU-R BS.1770-5 (11/2023) Annex 1: a 1 kHz
/// sine in both channels is that much louder than its peak level says.
const LOUDER_LU: f64 = 0.0067;

/// A sine's peak is its level; in one channel it has half the power of two.
#[test]
fn peak_to_loudness_of_a_tone() {
    let tone = sine(RATE, 1000.0, -23.0, 20.0, 40.0);
    let silence = vec![0f32; tone.len()];
    for (right, expected) in [(&tone, -LOUDER_LU), (&silence, 3.0103 - LOUDER_LU)] {
        let song = Heard::stereo(RATE, &tone, right).figures(RATE);
        let (plr, psr) = (song.plr.unwrap().0, song.psr_loud.unwrap().0);
        assert!((plr - expected).abs() < 0.01, "PLR {plr} for {expected}");
        assert!((psr - expected).abs() < 0.01, "PSR {psr} for {expected}");
    }
}

/// Five loud periods in forty seconds: the largest peak is theirs, and all but three of the 3 s know nothing of them.
#[test]
fn one_peak_moves_plr_and_not_psr() {
    let (step_db, at) = (12.0, (12.5 * RATE) as usize);
    let mut tone = sine(RATE, 1000.0, -23.0, 0.0, 40.0);
    tone[at..at + 240].iter_mut().for_each(|x| *x *= amplitude(step_db) as f32);
    let heard = Heard::stereo(RATE, &tone, &tone);
    let song = heard.figures(RATE);
    let (plr, psr) = (song.plr.unwrap().0, song.psr_loud.unwrap().0);
    // The loudness rises by what the peak's power is of the whole, 5 ms of 40 s: 0.008 dB.
    assert!((plr - (step_db - LOUDER_LU - 0.008)).abs() < 0.02, "PLR {plr}");
    assert!((psr + LOUDER_LU).abs() < 0.01, "PSR {psr}");

    // *Now*, while it lies in the last 3 s and when it no longer does. Its power is a sixth of a percent of 3 s, 15
    // times over: 0.11 dB.
    let now = |seconds: f64| {
        let mut desk = Desk::of_file(Hertz(RATE), Channels::Stereo);
        let heard = heard.readings.iter().take_while(|reading| reading.end_frame as f64 <= seconds * RATE);
        heard.for_each(|reading| desk.take_reading(reading));
        let worked_out = WorkedOut::of(&desk);
        View::of(&desk, worked_out, Meaning::default(), Around::default()).psr.unwrap().0
    };
    let (with, without) = (now(13.0), now(20.0));
    assert!((with - (step_db - LOUDER_LU - 0.107)).abs() < 0.02, "{with}");
    assert!((without + LOUDER_LU).abs() < 0.01, "{without}");
}

/// A sine of a low band turned by a third of a turn between the channels, and one of a high band by a quarter: the fold
/// is 10·lg((1 + cos φ)/2).
#[test]
fn the_low_end_and_an_octave_are_known_of_turned_sines() {
    let (low, high) = (mid_band(5).0, mid_band(17).0);
    let both = |low_degrees: f64, high_degrees: f64| -> Vec<f32> {
        let low = sine(RATE, low, -12.0, low_degrees, 30.0);
        let high = sine(RATE, high, -20.0, high_degrees, 30.0);
        low.iter().zip(&high).map(|(low, high)| low + high).collect()
    };
    let song = Heard::stereo(RATE, &both(0.0, 0.0), &both(120.0, 90.0)).figures(RATE);
    let low_end = song.low_end.unwrap();
    let (low_db, above_db) = (low_end.fold.db().unwrap().0, low_end.above_fold.db().unwrap().0);
    assert!((low_db + 6.0206).abs() < 0.01, "under 125 Hz: {low_db}");
    assert!((above_db + 3.0103).abs() < 0.01, "from there on: {above_db}");
    let share = 1.0 / (1.0 + 10f64.powf(-0.8));
    assert!((low_end.power_share - share).abs() < 0.001, "{} for {share}", low_end.power_share);
    let [octave] = song.cancels[..] else { panic!("one octave sounds: {:?}", song.cancels) };
    assert_eq!(octave.bands_hz, [1000.0, 1600.0]);
    let octave_db = octave.fold.db().unwrap().0;
    assert!((octave_db + 3.0103).abs() < 0.01, "the octave: {octave_db}");
}

/// Counts are exact; a place is told to within a chunk.
#[test]
fn health_is_counted() {
    let mut left: Vec<f32> = sine(RATE, 997.0, -20.0, 0.0, 12.0).iter().map(|x| x + 0.01).collect();
    let mut right = sine(RATE, 997.0, -20.0, 0.0, 12.0);
    for (i, run) in [3, 2, 7, 2, 4, 1].into_iter().enumerate() {
        let at = (1.55 * RATE) as usize * (i + 1);
        let side = if i % 2 == 0 { &mut left } else { &mut right };
        side[at..at + run].fill(-1.0);
    }
    let health = Heard::stereo(RATE, &left, &right).figures(RATE).health;
    // Runs of 3, 7 and 4, all on the left; those on the right are too short.
    assert_eq!(health.clipped_runs, 3);
    assert!((health.clipped_at_s.unwrap() - 1.55).abs() <= 0.1, "{health:?}");
    let mean = |samples: &[f32]| samples.iter().map(|x| f64::from(*x)).sum::<f64>() / samples.len() as f64;
    assert!((health.dc_left - mean(&left)).abs() < 1e-8, "{health:?}");
    assert!((health.dc_right - mean(&right)).abs() < 1e-8, "{health:?}");
    assert_eq!(health.silent_side, None);

    let silence = vec![0f32; right.len()];
    let health = Heard::stereo(RATE, &silence, &right).figures(RATE).health;
    assert_eq!((health.silent_side, health.imbalance), (Some(SilentSide::Left), None));
    let one_sided = health.one_sided.unwrap();
    assert_eq!((one_sided.silent, one_sided.at_s), (SilentSide::Left, 0.0));
    assert!((one_sided.length_s - 12.0).abs() < 1e-9, "{one_sided:?}");
}
