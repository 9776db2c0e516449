use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;

use candlemark_analysis::bands::BAND_COUNT;
use candlemark_analysis::{BandPower, Faults, PassFigures, Place, Power};

use super::*;
use crate::ring::Record;
use crate::taped_cell::MAX_PASS;

/// Numbers without a pattern, the same at every run.
struct Numbers(u64);

impl Numbers {
    fn bits(&mut self) -> u64 {
        // SplitMix64, Steele, Lea and Flood 2014.
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let z = (self.0 ^ self.0 >> 30).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        let z = (z ^ z >> 27).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ z >> 31
    }

    fn below(&mut self, end: u64) -> u64 {
        self.bits() % end
    }

    fn flag(&mut self) -> bool {
        self.below(2) == 1
    }

    /// −140 to +20 dB, and nothing one time in eight.
    fn power(&mut self) -> f64 {
        if self.below(8) == 0 { 0.0 } else { 10f64.powf(self.below(1_600_000) as f64 / 1e5 - 14.0) }
    }

    fn powers(&mut self) -> Power {
        Power { left: self.power(), right: self.power(), mid: self.power() }
    }

    fn bands(&mut self) -> [BandPower; BAND_COUNT] {
        std::array::from_fn(|_| BandPower {
            left: self.power() as f32,
            right: self.power() as f32,
            mid: self.power() as f32,
        })
    }

    fn channels(&mut self) -> Channels {
        if self.flag() { Channels::Mono } else { Channels::Stereo }
    }

    fn place(&mut self) -> Place {
        Place {
            pass: self.below(1 << 24) as u32,
            song_s: self.below(1 << 40) as f64 / 1e7 - 100.0,
            beats: self.flag().then(|| self.below(1 << 40) as f64 / 1e7 - 100.0),
            offline: self.flag(),
            preroll: self.flag(),
        }
    }

    fn reading(&mut self) -> Reading {
        Reading {
            channels: self.channels(),
            end_frame: self.bits(),
            frames: self.below(38_401) as u32,
            place: self.place(),
            weighted: self.powers(),
            plain: self.powers(),
            mean: [self.power() - 0.5, self.power() - 0.5],
            sample_peak: self.power() as f32,
            true_peak: self.power() as f32,
            faults: Faults { non_finite: self.bits() as u32, clipped_runs: self.bits() as u32 },
            momentary_power: self.power(),
            short_term_power: self.power(),
            true_peak_3s: self.power() as f32,
            weighted_3s: self.powers(),
            plain_3s: self.powers(),
            bands_3s: self.bands(),
            pass: PassFigures {
                integrated_power: self.power(),
                gate_power: self.power(),
                range_lu: self.flag().then(|| self.power()),
                momentary_max_power: self.power(),
                short_term_max_power: self.power(),
                true_peak: self.power() as f32,
                seconds: self.power(),
            },
        }
    }

    fn cell(&mut self) -> Cell {
        let index = self.below(100_000) as i64 - 50_000;
        let by_beats = self.flag();
        let end = (index as f64 + self.below(1_000_001) as f64 / 1e6) * 2.0;
        Cell {
            channels: self.channels(),
            index,
            by_beats,
            place: Place { beats: by_beats.then_some(end), ..self.place() },
            start_frame: self.below(1 << 40),
            frames: self.below(1 << 24) as u32,
            coverage: self.below(1001) as f32 / 1000.0,
            weighted: self.powers(),
            plain: self.powers(),
            short_term_power: self.power(),
            true_peak_3s: self.power() as f32,
            true_peak: self.power() as f32,
            bands: self.bands(),
        }
    }
}

/// Half a hundredth of a decibel as a ratio of powers, and a little for single precision.
fn near(a: f64, b: f64) -> bool {
    if a == 0.0 || b == 0.0 { a == b } else { (10.0 * (a / b).log10()).abs() < 0.00502 }
}

fn single(power: Power) -> [f32; 3] {
    [power.left as f32, power.right as f32, power.mid as f32]
}

#[test]
fn a_whole_reading_comes_back_bit_for_bit() {
    let mut numbers = Numbers(1);
    for number in 0..2000 {
        let taped = TapedReading {
            activation: Activation { number, sample_rate: Hertz(44_100.0), channels: numbers.channels() },
            reading: numbers.reading(),
        };
        assert_eq!(TapedReading::from_words(&taped.to_words()), taped);
    }
}

#[test]
fn a_cell_comes_back_within_its_rounding() {
    let mut numbers = Numbers(3);
    for _ in 0..2000 {
        let taped = TapedCell { activation: numbers.bits() as u16, cell: numbers.cell() };
        let back = TapedCell::from_words(&taped.to_words());
        assert_eq!(back.activation, taped.activation);
        let (back, cell) = (back.cell, taped.cell);
        assert_eq!(back.channels, cell.channels);
        assert_eq!((back.index, back.by_beats), (cell.index, cell.by_beats));
        assert_eq!(back.place.pass, cell.place.pass);
        assert_eq!((back.place.offline, back.place.preroll), (cell.place.offline, cell.place.preroll));
        assert!((back.place.song_s - cell.place.song_s).abs() <= 0.000_050_1);
        match (back.place.beats, cell.place.beats) {
            (Some(back), Some(beats)) => assert!((back - beats).abs() < 1.0 / 30_000.0),
            (back, beats) => assert_eq!(back, beats),
        }
        assert_eq!((back.start_frame, back.frames), (cell.start_frame, cell.frames));
        assert_eq!(back.coverage, cell.coverage);
        assert_eq!(single(back.weighted), single(cell.weighted));
        assert_eq!(single(back.plain), single(cell.plain));
        assert_eq!(back.short_term_power as f32, cell.short_term_power as f32);
        assert_eq!((back.true_peak_3s, back.true_peak), (cell.true_peak_3s, cell.true_peak));
        for (back, band) in back.bands.iter().zip(&cell.bands) {
            assert!(near(back.left.into(), band.left.into()));
            assert!(near(back.right.into(), band.right.into()));
            assert!(near(back.mid.into(), band.mid.into()));
        }
    }
}

#[test]
fn what_does_not_fit_stays_at_the_end_of_its_range() {
    let mut numbers = Numbers(4);
    let mut cell = numbers.cell();
    cell.index = i64::MAX;
    cell.by_beats = true;
    cell.place = Place { pass: u32::MAX, song_s: 1e300, beats: Some(f64::MAX), offline: true, preroll: true };
    cell.start_frame = u64::MAX;
    cell.frames = u32::MAX;
    let back = TapedCell::from_words(&TapedCell { activation: 1, cell }.to_words());
    assert_eq!(back.cell.index, i32::MAX.into());
    assert_eq!(back.cell.place.pass, MAX_PASS);
    assert_eq!(back.cell.frames, (1 << 24) - 1);
    assert_eq!(back.cell.start_frame, (1 << 40) - 1);
    assert!(back.cell.place.offline && back.cell.place.preroll && back.cell.by_beats);
}

#[test]
fn four_hours_stay_under_four_mebibytes() {
    let (_writer, reader) = Tape::new();
    let parts = [reader.readings.bytes(), reader.cells.bytes(), reader.activations.bytes()];
    let bytes: usize = parts.iter().sum();
    println!("readings, cells, activations: {parts:?}, {bytes} bytes in all");
    assert!(bytes < 4 * 1024 * 1024, "{bytes} bytes");
    assert_eq!(reader.cells.capacity(), 14_400);
}

#[test]
fn the_last_readings_are_there_and_those_before_are_not() {
    let (mut writer, reader) = Tape::new();
    let mut numbers = Numbers(5);
    assert!(reader.activation().is_none());
    writer.activate(Hertz(48_000.0), Channels::Stereo);
    for _ in 0..3000 {
        writer.reading(&numbers.reading());
    }
    assert_eq!(reader.readings.published(), 3000);
    assert_eq!(reader.readings.read(3000 - READINGS as u64 - 1), None);
    assert!((reader.readings.oldest()..3000).all(|index| reader.readings.read(index).is_some()));
}

#[test]
fn passes_are_counted_on_over_activations() {
    let (mut writer, reader) = Tape::new();
    let mut numbers = Numbers(6);
    let mut on_tape = Vec::new();
    for rate in [44_100.0, 96_000.0, 500_000.0, 48_000.0] {
        writer.activate(Hertz(rate), Channels::Mono);
        for pass in [1, 0, 2] {
            let mut reading = numbers.reading();
            reading.place.pass = pass;
            writer.reading(&reading);
            let taped = reader.readings.latest().unwrap();
            assert_eq!(Some(taped.activation), reader.activation());
            assert_eq!(taped.activation.is_measured(), rate != 500_000.0);
            on_tape.push(taped.reading.place.pass);
        }
        let mut cell = numbers.cell();
        cell.place.pass = 1;
        writer.cell(&cell);
        on_tape.push(reader.cells.latest().unwrap().cell.place.pass);
    }
    assert_eq!(on_tape, [1, 0, 2, 1, 3, 0, 4, 3, 5, 0, 6, 5, 7, 0, 8, 7]);
}

/// A writer at many thousand times real time, round the ring of whole readings, and a reader beside it. The
/// figures of each reading follow from its end frame, so that a torn one shows.
#[test]
fn no_torn_reading_comes_off_the_tape() {
    const RECORDS: u64 = 200_000;
    let expected = |end_frame: u64| {
        let mut reading = Numbers(end_frame).reading();
        reading.end_frame = end_frame;
        reading.place.pass = 0;
        reading
    };
    let (mut writer, reader) = Tape::new();
    let mut follower = reader.readings.follow();
    let done = AtomicBool::new(false);
    let (seen, lost) = thread::scope(|scope| {
        let reading = scope.spawn(|| {
            let mut seen = 0;
            loop {
                let last = done.load(Ordering::Acquire);
                while let Some(taped) = follower.poll() {
                    let index = follower.position() - 1;
                    assert!(taped.reading == expected(index), "reading {index} came off the tape torn");
                    seen += 1;
                }
                if last {
                    return (seen, follower.lost());
                }
            }
        });
        for end_frame in 0..RECORDS {
            writer.reading(&expected(end_frame));
        }
        done.store(true, Ordering::Release);
        reading.join().unwrap()
    });
    assert_eq!(seen + lost, RECORDS, "every reading is either read or counted as lost");
    assert!(seen > 0);
}
