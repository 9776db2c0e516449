//! What is written on the tape comes off it, as far as its words can say it.

#![cfg(not(loom))]

mod numbers;

use candlemark_analysis::{Channels, Hertz, Place, Power, Sink as _};
use candlemark_handoff::ring::Record as _;
use candlemark_handoff::{Activation, Tape, TapedCell, TapedReading};

use numbers::Numbers;

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
    assert_eq!(back.cell.place.pass, (1 << 24) - 1);
    assert_eq!(back.cell.frames, (1 << 24) - 1);
    assert_eq!(back.cell.start_frame, (1 << 40) - 1);
    assert!(back.cell.place.offline && back.cell.place.preroll && back.cell.by_beats);
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
    let oldest = reader.readings.oldest();
    assert_eq!(reader.readings.read(oldest - 1), None);
    assert!((oldest..3000).all(|index| reader.readings.read(index).is_some()));
    // Ten a second, for 50 s.
    assert!(3000 - oldest >= 500);
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
