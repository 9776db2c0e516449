//! The calibration noise: its level, its A-weighted level and its spectrum, measured by a transform of its own.

use candlemark_analysis::Hertz;
use candlemark_handoff::{Audition, Fader, Gain, NOISE_A_WEIGHTED_DB, Sound};
use candlemark_session::a_weighting::a_weighting_db;
use candlemark_tests::signals::level_db;
use candlemark_tests::spectrum::Spectrum;
use ebur128::{EbuR128, Mode};

const RATES: [f64; 4] = [44_100.0, 48_000.0, 96_000.0, 192_000.0];

/// How long the noise is listened to, in seconds: over 1500 Hz its mean power then has a standard deviation of
/// 4.34/√(1500·60) = 0.015 dB.
const LISTENED_S: f64 = 60.0;

/// The noise in the left speaker, once it is up.
fn noise(rate: f64) -> Vec<f32> {
    let mut fader = Fader::default();
    fader.prepare(Hertz(rate));
    let sound = Sound { audition: Audition::NoiseLeftSpeaker, gain: Gain::UNITY, at_once: false };
    let mut play = |seconds: f64| {
        let frames = (seconds * rate) as usize;
        let (mut left, mut right) = (vec![0.0; frames], vec![0.0; frames]);
        fader.play(sound, &mut left, &mut right);
        left
    };
    // It is up after 2 s.
    play(3.0);
    play(LISTENED_S)
}

/// Mean power at each whole hertz up to half the rate.
fn spectrum(samples: &[f32], rate: f64) -> Vec<f64> {
    Spectrum::of(samples, rate, rate as usize).bins
}

fn db(power: f64) -> f64 {
    10.0 * power.log10()
}

/// IEC 61672-1:2013 Annex E gives the weighting. 0.1 dB is ours; it holds four standard deviations.
#[test]
fn its_a_weighted_level_is_what_the_constant_says_at_every_rate() {
    for rate in RATES {
        let powers = spectrum(&noise(rate), rate);
        let weighted =
            |(hertz, power): (usize, &f64)| power * 10f64.powf(a_weighting_db(Hertz(hertz as f64)) / 10.0);
        let level = db(powers.iter().enumerate().skip(1).map(weighted).sum());
        println!(
            "calibration noise at {rate} Hz: {level:.3} dB A-weighted, said {NOISE_A_WEIGHTED_DB:.3} dB"
        );
        assert!((level - NOISE_A_WEIGHTED_DB).abs() < 0.1, "{rate} Hz: {level} dB");
    }
}

/// −23.5 dB is ours; EBU Tech 3343 §8.2 plays its noise at −23 LUFS, which the independent meter reads.
#[test]
fn its_level_is_the_reference_level_at_every_rate() {
    for rate in RATES {
        let left = noise(rate);
        let level = level_db(&left);
        let mut meter = EbuR128::new(1, rate as u32, Mode::I).unwrap();
        meter.add_frames_f32(&left).unwrap();
        let loudness = meter.loudness_global().unwrap();
        println!("calibration noise at {rate} Hz: {level:.3} dB true rms, {loudness:.3} LUFS");
        assert!((level + 23.5).abs() < 0.1, "{rate} Hz: {level} dB");
        assert!((loudness + 23.0).abs() < 0.1, "{rate} Hz: {loudness} LUFS");
    }
}

/// Pink noise has equal power in every third octave. The band is EBU Tech 3343 §8.2's; what the tolerances are of it is
/// ours.
#[test]
fn it_is_pink_within_its_band_and_nothing_far_from_it() {
    for rate in RATES {
        let powers = spectrum(&noise(rate), rate);
        let between =
            |low: f64, high: f64| db(powers[low as usize..(high as usize).min(powers.len())].iter().sum());
        let thirds: Vec<f64> = [630.0, 800.0, 1000.0, 1250.0, 1600.0]
            .into_iter()
            .map(|mid: f64| {
                // Bands of whole hertz, compared as powers to the octave.
                let (low, high) = ((mid / 1.122).round(), (mid * 1.122).round());
                between(low, high) - db((high / low).log2())
            })
            .collect();
        let mean = thirds.iter().sum::<f64>() / thirds.len() as f64;
        println!(
            "calibration noise at {rate} Hz, thirds of octaves to their mean: {:.2?}",
            thirds.iter().map(|third| third - mean).collect::<Vec<_>>()
        );
        assert!(thirds.iter().all(|third| (third - mean).abs() < 0.5), "{rate} Hz: {thirds:?}");
        for (low, high) in [(1.0, 250.0), (4000.0, rate / 2.0)] {
            assert!(
                between(low, high) < -23.5 - 40.0,
                "{rate} Hz, {low} to {high} Hz: {}",
                between(low, high)
            );
        }
    }
}
