//! Third octaves against IEC 61260-1:2014 class 1, at five rates: sines at the standard's own normalised
//! frequencies, each judged in every band.
//!
//! **Lengths.** What is judged is one cell of a second, the shortest stretch that a file's figure is made of. Its
//! windows, of up to 1.5 s in the lowest bands, reach 1.2 s to either side of it, and so does the sound. At high
//! rates a sine is as long, for the lowest bands' windows are as long at every rate, and must reject what lies
//! high too.
//!
//! **Phases.** A real sine is a line at its frequency and another at minus its frequency. A band's power holds
//! the square of each, which have no phase, and their product, which turns with twice the sine's phase. It can
//! show only where the same bins see both lines, a few bins from zero frequency or from half a rate: under 10 Hz,
//! which is 14 bins of the lowest transform, and within a hundredth of the rate under its half. There eight
//! phases are tried, a half turn in all. (At the slower transforms' own half rates no band listens.) Elsewhere
//! each sine has a phase of its own, and that it does not matter is shown where it would matter most.

use std::fmt::Write as _;
use std::sync::OnceLock;

use candlemark_analysis::bands::{BAND_COUNT, NOMINAL_HZ, band_edges, fitting_bands, mid_band};
use candlemark_analysis::{Analyzer, Channels, Hertz, Position, Power};
use candlemark_tests::accuracy::held;
use candlemark_tests::measured::Heard;
use candlemark_tests::signals::{Line, Noise, sine, sum_of_sines};

use crate::RATES;
use crate::class_1::{limits, tried_ratios};

/// The standard asks for no margin; at mid-band there are 0.4 dB to have, and we hold this much everywhere.
const HELD_DB: f64 = 0.38;

/// Outside the edges we hold this much.
const HELD_OUTSIDE_DB: f64 = 1.5;

/// What a mid-band sine's level may be off; the goal is ours.
const MID_BAND_DB: f64 = 0.02;

/// A turn divided by the golden ratio's square, so that phases in a row fall nowhere together.
const GOLDEN_DEGREES: f64 = 137.508;

/// The sound, and the cell that is judged, from 2 to 3 s: see above.
const START_S: f64 = 0.85;
const SOUND_S: f64 = 3.3;
const CELL: i64 = 2;

/// The attenuation in dB of two full-scale sines, one in each channel, in every band.
fn attenuations(rate: f64, sines: [Line; 2]) -> [[f64; BAND_COUNT]; 2] {
    let [left, right] = sines.map(|line| sum_of_sines(rate, 1.0, &[line], SOUND_S));
    let mut heard = Heard::default();
    let mut analyzer = Analyzer::new(Hertz(rate), Channels::Stereo).unwrap();
    analyzer.push(&left, &right, Position::in_file((START_S * rate) as i64), &mut heard);
    analyzer.finish(&mut heard);
    let bands = heard.cells.iter().find(|cell| cell.index == CELL).expect("it was filled").bands;
    // A full-scale sine has half the power of full scale; nothing at all is far down enough.
    let attenuation = |power: f32| -10.0 * (2.0 * f64::from(power)).max(1e-30).log10();
    [bands.map(|band| attenuation(band.left)), bands.map(|band| attenuation(band.right))]
}

/// All sines that are tried at a rate: those of every band, low to high.
fn tried(rate: f64) -> Vec<Line> {
    let mut hertz: Vec<f64> = (0..fitting_bands(Hertz(rate)))
        .flat_map(|band| tried_ratios().into_iter().map(move |ratio| (mid_band(band).0, ratio)))
        .flat_map(|(mid, ratio)| [mid * ratio, mid / ratio])
        .filter(|hertz| *hertz < 0.4999 * rate)
        .chain([0.495 * rate, 0.499 * rate])
        .collect();
    hertz.sort_by(f64::total_cmp);
    // A band's edge is its neighbour's too.
    hertz.dedup_by(|a, b| (*a / *b - 1.0).abs() < 1e-9);
    let lines = hertz.into_iter().enumerate().flat_map(|(i, hertz)| {
        let own = (i as f64 * GOLDEN_DEGREES) % 360.0;
        let phase_shows = hertz < 10.0 || hertz > 0.49 * rate;
        let degrees: Vec<f64> =
            if phase_shows { (0..8).map(|step| own + f64::from(step) * 22.5).collect() } else { vec![own] };
        degrees.into_iter().map(move |degrees| Line { hertz, degrees })
    });
    lines.collect()
}

/// The worst of a band at a rate.
#[derive(Clone, Copy, Debug)]
struct Worst {
    margin_db: f64,
    sine: Line,
    attenuation_db: f64,
}

/// What was found at a rate.
struct Column {
    sines: usize,
    /// By band: of the sines inside its edges, and of those outside.
    bands: Vec<[Worst; 2]>,
}

impl Column {
    fn measure(rate: f64) -> Self {
        let sines = tried(rate);
        let sine = Line { hertz: 0.0, degrees: 0.0 };
        let nothing = Worst { margin_db: f64::INFINITY, sine, attenuation_db: 0.0 };
        let mut bands = vec![[nothing; 2]; fitting_bands(Hertz(rate))];
        // Far-apart sines share a hearing: what leaks between the channels would be seen.
        let half = sines.len().div_ceil(2);
        for (i, sine) in sines[..half].iter().enumerate() {
            let pair = [*sine, sines[(i + half).min(sines.len() - 1)]];
            for (sine, attenuations) in pair.into_iter().zip(attenuations(rate, pair)) {
                for (band, worst) in bands.iter_mut().enumerate() {
                    let (limits, attenuation_db) =
                        (limits(sine.hertz / mid_band(band).0), attenuations[band]);
                    let worst = &mut worst[usize::from(!limits.are_inside_the_edges())];
                    let margin_db = limits.margin_db(attenuation_db);
                    if margin_db < worst.margin_db {
                        *worst = Worst { margin_db, sine, attenuation_db };
                    }
                }
            }
        }
        Self { sines: sines.len(), bands }
    }

    /// What was found at a rate; measured when it is first asked for.
    fn of(rate: f64) -> &'static Self {
        static COLUMNS: [OnceLock<Column>; RATES.len()] = [const { OnceLock::new() }; RATES.len()];
        let place = RATES.iter().position(|known| *known == rate).expect("a rate of the table");
        COLUMNS[place].get_or_init(|| Self::measure(rate))
    }
}

fn every_band_is_inside(rate: f64) {
    let Column { sines, bands } = Column::of(rate);
    assert!(bands.len() >= 30 && *sines > 1000, "{rate} Hz: {} bands, {sines} sines", bands.len());
    for (nominal, [inside, outside]) in NOMINAL_HZ.iter().zip(bands) {
        assert!(inside.margin_db >= HELD_DB, "{rate} Hz, {nominal} Hz band: {inside:?}");
        assert!(outside.margin_db >= HELD_OUTSIDE_DB, "{rate} Hz, {nominal} Hz band: {outside:?}");
    }
}

#[test]
fn every_band_is_inside_class_1_at_44_100() {
    every_band_is_inside(44_100.0);
}

#[test]
fn every_band_is_inside_class_1_at_48_000() {
    every_band_is_inside(48_000.0);
}

#[test]
fn every_band_is_inside_class_1_at_88_200() {
    every_band_is_inside(88_200.0);
}

#[test]
fn every_band_is_inside_class_1_at_96_000() {
    every_band_is_inside(96_000.0);
}

#[test]
fn every_band_is_inside_class_1_at_192_000() {
    every_band_is_inside(192_000.0);
}

/// The worst margins of each band at each rate, and where the worst of a rate lie. Named to come after the tests of
/// the rates: it waits for what they measure.
#[test]
fn the_worst_margins_as_a_table() {
    let mut table = String::new();
    for (side, what) in ["inside the edges, of 0.4 that there are", "outside the edges"].iter().enumerate() {
        let _ = write!(table, "class 1, worst margin in dB {what}\n      Hz");
        for rate in RATES {
            let _ = write!(table, "{rate:>9}");
        }
        for (band, nominal) in NOMINAL_HZ.iter().enumerate() {
            let _ = write!(table, "\n{nominal:>8}");
            for worst in RATES.map(|rate| Column::of(rate).bands.get(band)) {
                let _ = match worst {
                    Some(worst) => write!(table, "{:>9.3}", worst[side].margin_db),
                    None => write!(table, "{:>9}", "–"),
                };
            }
        }
        for rate in RATES {
            let Column { sines, bands } = Column::of(rate);
            let bands = bands.iter().map(|worst| worst[side]).zip(NOMINAL_HZ);
            let (worst, nominal) =
                bands.min_by(|a, b| a.0.margin_db.total_cmp(&b.0.margin_db)).expect("there are bands");
            let Worst { margin_db, sine: Line { hertz, degrees }, attenuation_db } = worst;
            let _ =
                write!(table, "\n{rate} Hz, {sines} sines: {margin_db:.3}, {attenuation_db:.3} dB in the ");
            let _ = write!(table, "{nominal} Hz band at {hertz:.3} Hz and {degrees:.0}°");
            if side == 0 {
                // At mid-band the class leaves 0.4 dB, and so much of it is used.
                let figure = format!("third octaves inside their edges, {rate} Hz");
                held(&figure, 0.4 - margin_db, 0.4, "dB of class 1");
            }
        }
        table.push('\n');
    }
    println!("{table}");
}

/// Just inside both edges of every band, the lowest of each transform among them, whose own image lies nearest: four phases,
/// of which two are as far apart as they can be in what they add.
#[test]
fn phase_does_not_matter_at_a_bands_edge() {
    let mut worst_db = 0f64;
    for band in 0..BAND_COUNT {
        let (Hertz(low), Hertz(high)) = band_edges(band);
        for hertz in [low * 1.001, high / 1.001] {
            let readings: Vec<f64> = [0.0, 45.0]
                .into_iter()
                .flat_map(|first| {
                    let sines = [first, first + 90.0].map(|degrees| Line { hertz, degrees });
                    attenuations(48_000.0, sines).map(|all| all[band])
                })
                .collect();
            let spread = readings.iter().fold(f64::MIN, |a, b| a.max(*b))
                - readings.iter().fold(f64::MAX, |a, b| a.min(*b));
            worst_db = worst_db.max(spread);
        }
    }
    println!("four phases of a sine at a band's edge read within {worst_db:.6} dB");
    assert!(worst_db < 0.001, "{worst_db}");
}

/// A print at 44.1 kHz beside one at 48, or a record beside a mix: a sine near a band's edge is told alike. The skirts of two
/// filters inside the class may lie further apart than any of the music.
#[test]
fn a_sine_near_an_edge_is_told_alike_at_44_100_and_48_000() {
    let mut worst = 0f64;
    for band in 0..BAND_COUNT - 1 {
        let (Hertz(low), Hertz(high)) = band_edges(band);
        let sines = [low * 0.98, high * 1.02].map(|hertz| Line { hertz, degrees: 0.0 });
        let [one, other] = [44_100.0, 48_000.0].map(|rate| attenuations(rate, sines));
        for side in 0..2 {
            // The share of the sine's power that the band takes.
            let [one, other] = [one, other].map(|all| 10f64.powf(-all[side][band] / 10.0));
            worst = worst.max((one - other).abs());
        }
    }
    println!("of a sine two hundredths beyond an edge a band takes shares that are at most {worst:.3} apart");
    assert!(worst < 0.1, "{worst}");
}

/// Band powers of the last 3 s of a steady sound, without its start and its end.
fn steady(rate: f64, left: &[f32], right: &[f32]) -> [Power; BAND_COUNT] {
    let mut heard = Heard::default();
    let mut analyzer = Analyzer::new(Hertz(rate), Channels::Stereo).unwrap();
    analyzer.push(left, right, Position::in_file(0), &mut heard);
    heard.last().bands_3s.map(Power::from)
}

/// What a person sees, the last 3 s: a full-scale sine at mid-band in every channel is 0 dB. The lowest bands'
/// windows are up to 1.5 s long and all those of the last 3 s count, hence 5 s and a little.
#[test]
fn a_mid_band_sine_reads_its_level() {
    let mut furthest = 0f64;
    for rate in RATES {
        let mut worst = (0f64, 0.0);
        let fitting: Vec<usize> = (0..fitting_bands(Hertz(rate))).collect();
        for pair in fitting.chunks(2) {
            let (&band, &other) = (pair.first().unwrap(), pair.last().unwrap());
            let [left, right] = [band, other].map(|band| {
                let line = Line { hertz: mid_band(band).0, degrees: 37.0 };
                sum_of_sines(rate, 1.0, &[line], 5.2)
            });
            let powers = steady(rate, &left, &right);
            for (band, power) in [(band, powers[band].left), (other, powers[other].right)] {
                let level = 10.0 * (2.0 * power).log10();
                assert!(level.abs() < MID_BAND_DB, "{rate} Hz, {} Hz: {level:.4} dB", NOMINAL_HZ[band]);
                if level.abs() > worst.0.abs() {
                    worst = (level, NOMINAL_HZ[band]);
                }
            }
        }
        println!("{rate:>6} Hz: of the sines at mid-band {} Hz is furthest off, {:+.4} dB", worst.1, worst.0);
        furthest = furthest.max(worst.0.abs());
    }
    // What a person may expect of a meter; held is more.
    held("a sine at mid-band, all rates", furthest, 0.1, "dB");
}

/// White noise rises by 10·lg G^(1/3) = 1 dB from band to band (its power is in proportion to width); its level
/// in the 1 kHz band is the density times the band's width. Tolerance: 3·4.34/√(BT) dB.
#[test]
fn white_noise_rises_by_a_decibel_a_band() {
    let (rate, seconds, deviation) = (48_000.0, 120.0, 0.1);
    let noise = Noise::new(11).white((rate * seconds) as usize, deviation);
    let song = Heard::stereo(rate, &noise, &noise).figures(rate);
    for (band, figures) in song.bands.iter().enumerate() {
        let width = mid_band(band).0 * (10f64.powf(0.05) - 10f64.powf(-0.05));
        // A sine's mean square is half its amplitude squared, hence the factor of 2.
        let expected = 10.0 * (2.0 * deviation * deviation * width / (rate / 2.0)).log10();
        let tolerance = 3.0 * 4.34 / (width * seconds).sqrt();
        let level = figures.level.unwrap().0;
        assert!(
            (level - expected).abs() < tolerance,
            "{} Hz: {level} for {expected} ± {tolerance}",
            NOMINAL_HZ[band]
        );
    }
}

#[test]
fn a_sine_in_one_channel_has_half_the_power() {
    let tone = sine(48_000.0, 1000.0, -12.0, 0.0, 6.5);
    let silence = vec![0f32; tone.len()];
    for (left, right) in [(&tone, &silence), (&silence, &tone)] {
        let level = steady(48_000.0, left, right)[17].level_db().unwrap().0;
        assert!((level + 12.0 + 3.0103).abs() < 0.02, "{level}");
    }
}
