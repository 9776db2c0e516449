//! Third octaves against an independent bank of recursive filters in SciPy (`filter_bank.py`).
//!
//! Both are inside class 1, and not alike: what lies near a band's edge the one passes and the other stops. On
//! noise that evens out, but for the noise bandwidth of the filters. In music, a tone near an edge may be most of
//! what a band holds; class 1 itself lets two filters differ by 5 dB on it (just inside an edge it asks for an
//! attenuation between −0.4 and 5.3 dB). So music is held to three things: to what class 1 permits for that
//! very sound, worked out from its spectrum; to a distance from the other bank in every band; and to a small
//! distance over all bands, which a wrong gain or a wrong mid-band anywhere would exceed.

use candlemark_session::figures::BandFigures;
use candlemark_tests::signals::Noise;
use candlemark_tests::sound::Sound;

use crate::scipy_measures::{Shared, TheirBand};
use crate::track;

/// How far apart two bands lie.
struct Apart {
    level_db: f64,
    fold_db: f64,
    correlation: f64,
}

impl Apart {
    fn of(ours: &BandFigures, theirs: &TheirBand) -> Self {
        assert_eq!(ours.nominal.0, theirs.hz);
        Self {
            level_db: ours.level.expect("it sounds").0 - theirs.level_db,
            fold_db: ours.fold.db().expect("something is left in mono").0 - theirs.fold_db,
            correlation: ours.correlation.expect("both sides sound") - theirs.correlation,
        }
    }
}

/// Compares every band, prints the table, and gives back what `is_near` does not hold for.
fn too_far(what: &str, sound: &Sound, is_near: impl Fn(f64, &Apart) -> bool) -> Vec<String> {
    let shared = Shared::new(sound);
    let (ours, theirs, class_1) = (shared.ours(), shared.theirs(), shared.class_1_db());
    assert_eq!(theirs.gated_cells, theirs.cells, "{what}: nothing of it is to be gated out");
    assert_eq!([ours.bands.len(), class_1.len()], [theirs.bands.len(); 2], "{what}");
    assert!(theirs.bands.len() >= 30, "{what}: {} bands", theirs.bands.len());
    let mut table = format!(
        "{what}: ours less SciPy's\n      Hz  ours, dB  difference      class 1      fold  correlation\n"
    );
    let (mut far, mut sum, mut squares) = (Vec::new(), 0.0, 0.0);
    for ((ours, theirs), (lowest, highest)) in ours.bands.iter().zip(&theirs.bands).zip(class_1) {
        let apart = Apart::of(ours, theirs);
        let level = ours.level.expect("it sounds").0;
        let row = format!(
            "{:>8}{level:>10.2}{:>12.3}  {:>+5.2} to {:>+5.2}{:>8.3}{:>13.4}",
            theirs.hz,
            apart.level_db,
            lowest - theirs.level_db,
            highest - theirs.level_db,
            apart.fold_db,
            apart.correlation
        );
        table = format!("{table}{row}\n");
        sum += apart.level_db;
        squares += apart.level_db * apart.level_db;
        if !(lowest..=highest).contains(&level) || !is_near(theirs.hz, &apart) {
            far.push(format!("{what}: {row}"));
        }
    }
    let (mean, rms) = (sum / ours.bands.len() as f64, (squares / ours.bands.len() as f64).sqrt());
    println!("{table}    mean{mean:>22.3}, root mean square {rms:.3}\n");
    if mean.abs() > MEAN_DB || rms > RMS_DB {
        far.push(format!("{what}: mean {mean} dB, root mean square {rms} dB"));
    }
    far
}

/// Over all bands: what one misses at its edges, its neighbour has. The peer's noise bandwidth is 0.03 dB over
/// ours, which is the ideal band's.
const MEAN_DB: f64 = 0.1;
/// Over all bands, in music whose tones lie where they happen to.
const RMS_DB: f64 = 0.3;
/// Of one band: a tone by its edge that holds a sixth of its power, which one bank passes and the other stops,
/// moves its level by 10·lg(6/5) dB.
const BAND_DB: f64 = 0.8;
/// Where that tone is mono in a band that keeps four fifths of its power, it moves the fold by 0.22 dB and the
/// correlation by 0.08.
const BAND_FOLD_DB: f64 = 0.3;
const BAND_CORRELATION: f64 = 0.1;

#[test]
fn music_has_the_same_balance() {
    let tracks = ["mus2.ogg", "electro.ogg", "greek.ogg", "mechanic.ogg"];
    let far: Vec<String> = tracks
        .into_iter()
        .flat_map(|wanted| {
            too_far(wanted, &Sound::read(&track(wanted)).steadiest_stretch(30), |_, apart| {
                apart.level_db.abs() <= BAND_DB
                    && apart.fold_db.abs() <= BAND_FOLD_DB
                    && apart.correlation.abs() <= BAND_CORRELATION
            })
        })
        .collect();
    assert!(far.is_empty(), "{far:#?}");
}

const NOISE_S: f64 = 30.0;
const NOISE_RATE: f64 = 48_000.0;

/// Two channels that share half their power.
fn noises(mut shape: impl FnMut(&[f32]) -> Vec<f32>) -> Sound {
    let [own_left, own_right, shared] =
        [41, 42, 43].map(|seed| Noise::new(seed).white((NOISE_S * NOISE_RATE) as usize, 0.1));
    let mut mixed = |own: &[f32]| {
        let white: Vec<f32> = own.iter().zip(&shared).map(|(own, shared)| own + shared).collect();
        shape(&white)
    };
    Sound::stereo(NOISE_RATE, mixed(&own_left), mixed(&own_right))
}

/// Falls by about 3 dB an octave: low-passes an octave and two thirds apart, each with as much power as the next.
fn pink(white: &[f32]) -> Vec<f32> {
    let mut poles: Vec<(f64, f64)> = (0..8)
        .map(|n| (1.0 - (-std::f64::consts::TAU * 8.0 * 3.2f64.powi(n) / NOISE_RATE).exp(), 0.0))
        .collect();
    white
        .iter()
        .map(|white| {
            let low_passed = poles.iter_mut().map(|(share, state)| {
                *state += *share * (f64::from(*white) - *state);
                *state / share.sqrt()
            });
            (0.05 * low_passed.sum::<f64>()) as f32
        })
        .collect()
}

/// A tenth of a noise band's power, at most, lies where the two banks differ; it moves by itself: three standard
/// deviations of that tenth, 3·4.34·√(0.1/(BT)) dB with B the band's width in hertz and T the time in seconds,
/// beside the 0.03 dB of noise bandwidth. A fold and a correlation move by no more.
#[test]
fn noise_has_the_same_balance() {
    let near = |hz: f64, apart: &Apart| {
        let of_a_tenth = (0.1 / (0.2316 * hz * NOISE_S)).sqrt();
        apart.level_db.abs() <= 0.03 + 3.0 * 4.34 * of_a_tenth
            && apart.fold_db.abs() <= 3.0 * 4.34 * of_a_tenth
            && apart.correlation.abs() <= 3.0 * of_a_tenth
    };
    let mut far = too_far("white noise", &noises(<[f32]>::to_vec), near);
    far.extend(too_far("pink noise", &noises(pink), near));
    assert!(far.is_empty(), "{far:#?}");
}
