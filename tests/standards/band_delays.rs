//! How late each band is: a burst's power, over the readings, has its centre of gravity where the Analyzer says.

use std::f64::consts::PI;
use std::fmt::Write as _;

use candlemark_analysis::bands::{NOMINAL_HZ, fitting_bands, mid_band};
use candlemark_analysis::{Analyzer, BandPowers, Channels, Hertz};
use candlemark_tests::measured::Heard;
use candlemark_tests::signals::{Line, Noise, sum_of_sines};

use crate::RATES;

const BURST_S: f64 = 2.0;
/// Flanks, so that the burst of one band is not heard in the others.
const FLANK_S: f64 = 0.1;
/// After the first 3 s: until then a reading is the mean of less.
const FIRST_CENTRE_S: f64 = 4.2;
/// After a burst's centre: half of it, the lowest bands' windows, and the 3 s of a reading.
const AFTER_S: f64 = 6.0;

/// Where a burst lies on the grids of transforms, readings and cells moves the centre of gravity of what they tell
/// of it. So it is tried at thirteen places, each a step of the slowest transforms and a thirteenth of it further:
/// what one grid adds at one place it takes away at another.
const PLACES: usize = 13;

/// A reading tells the mean of its last 3 s: each transform counts in thirty readings, 1.5 s later on average.
const HALF_WINDOW_S: f64 = 1.5;

/// Bursts at the mid-band of every band at once, about `centre_s`: every other band's in one channel, so that no band
/// hears its neighbours'.
fn bursts(rate: f64, centre_s: f64, noise: &mut Noise) -> [Vec<f32>; 2] {
    [0, 1].map(|channel| {
        let lines: Vec<Line> = (channel..fitting_bands(Hertz(rate)))
            .step_by(2)
            .map(|band| Line { hertz: mid_band(band).0, degrees: 180.0 * noise.even() })
            .collect();
        let mut burst = sum_of_sines(rate, 0.02, &lines, BURST_S + FLANK_S);
        let middle = (burst.len() - 1) as f64 / 2.0;
        for (n, x) in burst.iter_mut().enumerate() {
            let inside_s = BURST_S / 2.0 - (n as f64 - middle).abs() / rate;
            let open = (inside_s / FLANK_S + 0.5).clamp(0.0, 1.0);
            *x *= (PI / 2.0 * open).sin().powi(2) as f32;
        }
        let mut sound = vec![0f32; ((centre_s + AFTER_S) * rate) as usize];
        let start = (centre_s * rate - middle).round() as usize;
        sound[start..start + burst.len()].copy_from_slice(&burst);
        sound
    })
}

/// The centre of gravity of powers over time, in seconds.
fn centre_of_gravity_s(powers: impl Iterator<Item = (f64, f32)>) -> f64 {
    let (sum, moment) = powers.fold((0.0, 0.0), |(sum, moment), (time_s, power)| {
        let power = f64::from(power);
        (sum + power, moment + time_s * power)
    });
    moment / sum
}

/// What the Analyzer says of each band.
fn said_s(rate: f64) -> Vec<f64> {
    let analyzer = Analyzer::new(Hertz(rate), Channels::Stereo).expect("the rate is supported");
    (0..fitting_bands(Hertz(rate))).map(|band| analyzer.band_delay_s(band)).collect()
}

/// How late bursts are on average, in seconds, band by band: in the readings, and in the cells.
fn found_s(rate: f64) -> Vec<[f64; 2]> {
    // Windows overlap by half: a step is half a window, and that is the delay, but for a few milliseconds' filter.
    let apart_s = said_s(rate)[0] * (1.0 + 1.0 / PLACES as f64);
    let mut noise = Noise::new(71);
    let mut late = vec![[0.0; 2]; fitting_bands(Hertz(rate))];
    for place in 0..PLACES {
        let centre_s = FIRST_CENTRE_S + place as f64 * apart_s;
        let [left, right] = bursts(rate, centre_s, &mut noise);
        let heard = Heard::stereo(rate, &left, &right);
        for (band, late) in late.iter_mut().enumerate() {
            let own = |bands: &BandPowers| if band % 2 == 0 { bands[band].left } else { bands[band].right };
            let readings = heard.readings.iter().filter(|reading| reading.frames > 0);
            let told = readings.map(|reading| (reading.end_frame as f64 / rate, own(&reading.bands_3s)));
            let dated = heard.cells.iter().map(|cell| {
                let middle = cell.start_frame as f64 + f64::from(cell.frames) / 2.0;
                (middle / rate, own(&cell.bands))
            });
            let centres = [centre_of_gravity_s(told) - HALF_WINDOW_S, centre_of_gravity_s(dated)];
            for (late, centre) in late.iter_mut().zip(centres) {
                *late += (centre - centre_s) / PLACES as f64;
            }
        }
    }
    late
}

/// What may be off: sound is measured by 64 frames, up to 1.5 ms, and thirteen places leave a little of the grids.
fn tolerance_s(delay_s: f64) -> f64 {
    0.002 + 0.01 * delay_s
}

#[test]
fn bursts_are_as_late_as_the_analyzer_says() {
    for rate in RATES {
        let mut worst_s = [0f64; 2];
        for ((nominal, said), [told, dated]) in NOMINAL_HZ.iter().zip(said_s(rate)).zip(found_s(rate)) {
            assert!(said > 0.0, "{rate} Hz, {nominal} Hz");
            let off = [told - said, dated];
            assert!(
                off.iter().all(|off| off.abs() < tolerance_s(said)),
                "{rate} Hz, {nominal} Hz: said to be {said:.4} s late; off by {off:.4?} s in readings and cells"
            );
            worst_s = [worst_s[0].max(off[0].abs()), worst_s[1].max(off[1].abs())];
        }
        let [told, dated] = worst_s.map(|off| 1000.0 * off);
        println!(
            "{rate:>6} Hz: bursts come within {told:.1} ms of the delay, and lie within {dated:.1} ms in the cells"
        );
    }
}

/// Bands in a row, as the page of measures names them.
fn named(first: usize, last: usize) -> String {
    let [first, last] = [first, last].map(|band| NOMINAL_HZ[band]);
    match (first < 1000.0, last < 1000.0) {
        (true, true) => format!("{first} to {last} Hz"),
        (true, false) => format!("{first} Hz to {} kHz", last / 1000.0),
        _ => format!("{} to {} kHz", first / 1000.0, last / 1000.0),
    }
}

#[test]
fn the_delays_stand_among_the_measures() {
    let document = include_str!("../../docs/measures.md");
    let rows = RATES.map(|rate| {
        let mut row = format!("| {} kHz |", rate / 1000.0);
        let delays = said_s(rate);
        let mut first = 0;
        for alike in delays.chunk_by(|a, b| a == b) {
            let _ = write!(row, " {}: {:.0} ms |", named(first, first + alike.len() - 1), 1000.0 * alike[0]);
            first += alike.len();
        }
        row
    });
    let missing: Vec<&str> = rows.iter().filter(|row| !document.contains(*row)).map(String::as_str).collect();
    assert!(missing.is_empty(), "docs/measures.md does not have these rows:\n{}", missing.join("\n"));
}
