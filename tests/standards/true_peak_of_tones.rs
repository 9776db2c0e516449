//! True peak of full-scale tones: how far under and over it reads, over frequency and phase.
//!
//! **Which frequencies and phases.** A tone whose frequency is p/q of the rate, in lowest terms, has q samples that
//! come back again and again; only for small q can its peaks fall between the four-times oversampled places for
//! ever, and only there does the phase matter. Every such p/q up to 0.45 with q up to 40 is tried. Its samples
//! see the phase in steps of a q-th of a turn, and the interpolator is its own mirror image, so phases φ, φ + 360°/q
//! and −φ read alike: from 0 to 180°/q is all there are. Other frequencies pass by every phase by themselves; they
//! are tried in steps of a thousandth of the rate.

use std::f64::consts::PI;

use candlemark_analysis::{Analyzer, Channels, Db, Hertz, Position};
use candlemark_tests::accuracy::held;
use candlemark_tests::measured::Heard;
use candlemark_tests::signals::{Line, faded, sum_of_sines};

use crate::ebu_true_peak::RATES;

/// As far as the interpolator's pass band reaches.
const TOP_SHARE: f64 = 0.45;

/// What the interpolator adds to the standard's own bound, and what it reads over.
const OWN_DB: f64 = 0.04;
const OVER_DB: f64 = 0.05;

/// The largest under-read of an n-times oversampled peak is 20·log₁₀ cos(π·f/n): ITU-R BS.1770-5 (11/2023) Annex 2,
/// Attachment 1.
fn bound_db(share: f64) -> f64 {
    20.0 * (PI * share / 4.0).cos().log10()
}

/// Reads one sound after another.
struct Meter {
    rate: f64,
    analyzer: Analyzer,
    frames: usize,
}

impl Meter {
    fn new(rate: f64) -> Self {
        let analyzer = Analyzer::new(Hertz(rate), Channels::Stereo).expect("the rate is supported");
        Self { rate, analyzer, frames: 0 }
    }

    /// The true peak of a sound, in dB. It is two chunks long and silent at both ends, so that what is told 8
    /// frames late is nothing.
    fn read(&mut self, sound: &[f32]) -> f64 {
        assert_eq!(sound.len(), (0.2 * self.rate) as usize);
        let mut heard = Heard::default();
        self.analyzer.push(sound, sound, Position::in_file(self.frames as i64), &mut heard);
        self.frames += sound.len();
        // A chunk is told when the quantum that it ends in is full, and so with the next sound: its last one is
        // pushed out by silence.
        let chunk = vec![0f32; (0.1 * self.rate) as usize];
        self.analyzer.push(&chunk, &chunk, Position::in_file(self.frames as i64), &mut heard);
        self.frames += chunk.len();
        let peak = heard.readings.iter().fold(0f32, |peak, reading| peak.max(reading.true_peak));
        Db::of_amplitude(peak.into()).expect("it sounds").0
    }
}

/// A tone by its frequency as a share of the rate and its phase in degrees, and how it reads.
#[derive(Clone, Copy, Debug)]
struct Tone {
    share: f64,
    degrees: f64,
    reads_db: f64,
}

impl Tone {
    fn read(meter: &mut Meter, share: f64, degrees: f64) -> Self {
        let line = Line { hertz: share * meter.rate, degrees };
        let tone = faded(sum_of_sines(meter.rate, 1.0, &[line], 0.2), meter.rate);
        Self { share, degrees, reads_db: meter.read(&tone) }
    }

    fn holds(self, rate: f64) {
        let lowest = bound_db(self.share) - OWN_DB;
        assert!((lowest..OVER_DB).contains(&self.reads_db), "{rate} Hz, {self:?}, at least {lowest:.3}");
    }

    fn told(self) -> String {
        let Self { share, degrees, reads_db } = self;
        format!("{reads_db:+.4} dB at {share:.4} of the rate, {degrees:.2}°")
    }
}

fn are_coprime(a: u32, b: u32) -> bool {
    if b == 0 { a == 1 } else { are_coprime(b, a % b) }
}

/// Every p/q of the rate with q up to `most`, at `phases` phases over the range that there is.
fn short_cycles(most: u32, phases: u32) -> impl Iterator<Item = (f64, f64)> {
    (2..=most)
        .flat_map(|q| (1..q).map(move |p| (p, q)))
        .filter(|(p, q)| are_coprime(*p, *q) && f64::from(*p) <= TOP_SHARE * f64::from(*q))
        .flat_map(move |(p, q)| {
            (0..phases).map(move |step| {
                let range = 180.0 / f64::from(q);
                (f64::from(p) / f64::from(q), range * f64::from(step) / f64::from(phases - 1))
            })
        })
}

/// Reads tones, holds each, and gives the lowest and the highest reading.
fn extremes(rate: f64, tones: impl Iterator<Item = (f64, f64)>) -> [Tone; 2] {
    let mut meter = Meter::new(rate);
    let mut extremes = [0.0, 0.0].map(|reads_db| Tone { share: 0.0, degrees: 0.0, reads_db });
    for (share, degrees) in tones {
        let tone = Tone::read(&mut meter, share, degrees);
        tone.holds(rate);
        let [lowest, highest] = &mut extremes;
        if tone.reads_db < lowest.reads_db {
            *lowest = tone;
        }
        if tone.reads_db > highest.reads_db {
            *highest = tone;
        }
    }
    extremes
}

#[test]
fn the_worst_tones_read_within_what_oversampling_leaves() {
    let others = (5..=450).map(|thousandths| (f64::from(thousandths) / 1000.0 - 1e-4 / PI, 0.0));
    let [lowest, highest] = extremes(48_000.0, short_cycles(40, 17).chain(others));
    println!("full-scale tones: {} and {}", lowest.told(), highest.told());
    let beyond_db = bound_db(lowest.share) - lowest.reads_db;
    held("true peak of tones under what oversampling leaves", beyond_db.max(0.0), OWN_DB, "dB");
    held("true peak of tones over", highest.reads_db, OVER_DB, "dB");
    // What the search is for: it does come near the bound, which is lowest at two fifths of the rate, where ten
    // oversampled places make two cycles and a peak can lie halfway between two of them for ever.
    assert!((lowest.share - 0.4).abs() < 1e-9 && lowest.reads_db < bound_db(0.4) + OWN_DB, "{lowest:?}");
}

#[test]
fn tones_read_alike_at_every_rate() {
    let all = RATES.map(|rate| extremes(rate, short_cycles(12, 9)).map(|tone| tone.reads_db));
    for (rate, [lowest, highest]) in RATES.iter().zip(all) {
        println!("{rate:>6} Hz: {lowest:+.3} to {highest:+.3} dB");
        // The interpolator knows frames alone; the tones fade over ten milliseconds, which are more or fewer of them.
        for (end, at_first) in [lowest, highest].iter().zip(all[0]) {
            assert!(
                (end - at_first).abs() < 0.005,
                "{rate} Hz: {end:+.4} dB, {at_first:+.4} at {} Hz",
                RATES[0]
            );
        }
    }
}

/// Short bursts, whose few peaks do not pass by every phase: a tone in a Gaussian bell of 16 frames' deviation, whose
/// spectrum has died away at half the rate from any tone up to 0.45. Its true peak is the bell's top, which is
/// moved over half the distance of two samples; the other half is its mirror image.
#[test]
fn short_bursts_read_within_what_oversampling_leaves() {
    const DEVIATION: f64 = 16.0;
    const PLACES: u32 = 16;
    let rate = 48_000.0;
    let mut meter = Meter::new(rate);
    let mut read = Vec::new();
    // Under a fifth of the rate there is little to miss.
    for thousandths in (50..200).step_by(10).chain(200..=450) {
        let share = f64::from(thousandths) / 1000.0;
        for step in 0..=PLACES {
            let place = 0.5 * f64::from(step) / f64::from(PLACES);
            let burst: Vec<f32> = (0..9600)
                .map(|n| {
                    let away = f64::from(n - 4800) - place;
                    ((2.0 * PI * share * away).cos() * (-0.5 * (away / DEVIATION).powi(2)).exp()) as f32
                })
                .collect();
            let reads_db = meter.read(&burst);
            let lowest = bound_db(share) - OWN_DB;
            let told = format!("{reads_db:+.4} dB at {share} of the rate, {place} of a sample off");
            assert!((lowest..OVER_DB).contains(&reads_db), "{told}: at least {lowest:.3}");
            read.push((reads_db, told));
        }
    }
    read.sort_by(|a, b| a.0.total_cmp(&b.0));
    println!("short bursts: {} and {}", read[0].1, read[read.len() - 1].1);
}
