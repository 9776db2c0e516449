//! Passes, cells and the controls of EBU mode: what counts, from where, and what does not.

use candlemark_analysis::{Analyzer, Channels, Hertz, Position};
use candlemark_tests::measured::{self, Heard, playing};
use candlemark_tests::signals::{Noise, amplitude, sine, tone_segments};

use crate::ebu_loudness::lufs;

const RATE: f64 = 48_000.0;

fn analyzer() -> Analyzer {
    Analyzer::new(Hertz(RATE), Channels::Stereo).unwrap()
}

/// Pushes the same sound to both sides in blocks, with a position for each block's first frame.
fn push(
    analyzer: &mut Analyzer,
    heard: &mut Heard,
    sound: &[f32],
    block: usize,
    position: impl FnMut(usize) -> Position,
) {
    measured::push(analyzer, [sound, sound], block, position, heard);
}

/// Without a transport: sound above −70 LUFS begins a pass, a pause under five seconds does not end it, five
/// seconds do, and the next sound begins another.
#[test]
fn without_a_transport_sound_begins_and_ends_passes() {
    let silence = f64::NEG_INFINITY;
    let sound = tone_segments(
        RATE,
        1000.0,
        &[
            (2.0, silence),
            (3.0, -20.0),
            (4.0, silence),
            (3.0, -20.0),
            (7.0, silence),
            (2.0, -20.0),
            (2.0, -75.0),
        ],
    );
    let (mut analyzer, mut heard) = (analyzer(), Heard::default());
    push(&mut analyzer, &mut heard, &sound, 512, |_| Position::UNKNOWN);
    let pass_at = |seconds: f64| {
        let frame = (seconds * RATE) as u64;
        heard.readings.iter().find(|reading| reading.end_frame >= frame).unwrap().place.pass
    };
    let passes: Vec<u32> = [1.9, 2.3, 4.9, 8.9, 11.9, 16.0, 17.9, 19.5].map(pass_at).to_vec();
    assert_eq!(passes, [0, 1, 1, 1, 1, 1, 0, 2]);
    // The song's cells are seconds since the beginning: no pass's are taken for another's.
    let mut indices: Vec<i64> = heard.cells.iter().map(|cell| cell.index).collect();
    indices.dedup();
    assert_eq!(indices.len(), heard.cells.len());
    assert!(indices.is_sorted() && !indices.contains(&0), "{indices:?}");
}

/// A pass that sound begins has the peak of the sound that began it.
#[test]
fn a_pass_has_the_true_peak_of_its_first_transient() {
    let mut sound = sine(RATE, 1000.0, -30.0, 0.0, 4.0);
    let onset = 20_000;
    sound[..onset].fill(0.0);
    sound[onset] = 0.9;
    let by_sound = {
        let (mut analyzer, mut heard) = (analyzer(), Heard::default());
        push(&mut analyzer, &mut heard, &sound, 512, |_| Position::UNKNOWN);
        heard.last().pass.true_peak
    };
    // A loop's wrap right before it, in the middle of a slice.
    let by_jump = {
        let (mut analyzer, mut heard) = (analyzer(), Heard::default());
        push(&mut analyzer, &mut heard, &sound[..onset - 3], 512, |at| playing(at as f64 / 24_000.0, 120.0));
        push(&mut analyzer, &mut heard, &sound[onset - 3..], 512, |at| {
            playing(40.0 + at as f64 / 24_000.0, 120.0)
        });
        assert_eq!(heard.last().place.pass, 2);
        heard.last().pass.true_peak
    };
    for peak in [by_sound, by_jump] {
        assert!((peak - 0.9).abs() < 0.05, "{peak}");
    }
}

#[test]
fn a_transport_that_comes_and_goes_ends_what_ran() {
    let sound = sine(RATE, 1000.0, -20.0, 0.0, 2.0);
    let (mut analyzer, mut heard) = (analyzer(), Heard::default());
    let stopped = Position { playing: Some(false), ..Position::UNKNOWN };
    let mut passes = Vec::new();
    push(&mut analyzer, &mut heard, &sound, 480, |_| Position::UNKNOWN);
    passes.push(heard.last().place.pass);
    push(&mut analyzer, &mut heard, &sound, 480, |_| stopped);
    passes.push(heard.last().place.pass);
    push(&mut analyzer, &mut heard, &sound, 480, |at| playing(at as f64 / 24_000.0, 120.0));
    passes.push(heard.last().place.pass);
    push(&mut analyzer, &mut heard, &sound, 480, |_| stopped);
    passes.push(heard.last().place.pass);
    push(&mut analyzer, &mut heard, &sound, 480, |_| Position::UNKNOWN);
    passes.push(heard.last().place.pass);
    assert_eq!(passes, [1, 0, 2, 0, 3]);
}

#[test]
fn pre_roll_fills_no_cell() {
    let sound = sine(RATE, 1000.0, -20.0, 0.0, 8.0);
    let (mut analyzer, mut heard) = (analyzer(), Heard::default());
    push(&mut analyzer, &mut heard, &sound, 480, |at| {
        let beats = at as f64 / 24_000.0 - 8.0;
        Position { preroll: beats < 0.0, ..playing(beats, 120.0) }
    });
    analyzer.finish(&mut heard);
    let indices: Vec<i64> = heard.cells.iter().map(|cell| cell.index).collect();
    assert_eq!(indices, [0, 1, 2, 3]);
    assert!(heard.readings.iter().any(|reading| reading.place.preroll));
}

/// A host says with every block whether the pass is paused.
#[test]
fn told_at_every_block_that_it_goes_on_a_pass_goes_on() {
    let sound = Noise::new(3).white(5 * 48_000, 0.1);
    let (mut analyzer, mut heard) = (analyzer(), Heard::default());
    for (index, block) in sound.chunks(480).enumerate() {
        analyzer.set_paused(false);
        analyzer.push(block, block, Position::in_file(480 * index as i64), &mut heard);
    }
    analyzer.finish(&mut heard);
    let file = Heard::stereo(RATE, &sound, &sound);
    assert_eq!(heard.last().pass, file.last().pass);
}

/// EBU Tech 3341 v4 (2023) sec. 2.2: integrated and range start, pause and go on together; a reset forgets them,
/// in pause too.
#[test]
fn reset_and_pause_hold_what_the_standard_asks() {
    let tone = |dbfs| sine(RATE, 1000.0, dbfs, 0.0, 10.0);
    let position = |from: usize| move |at: usize| Position::in_file((from + at) as i64);
    let (mut analyzer, mut heard) = (analyzer(), Heard::default());
    push(&mut analyzer, &mut heard, &tone(-30.0), 512, position(0));
    let quiet = lufs(heard.last().pass.integrated_power);
    assert!((quiet + 30.0).abs() < 0.1, "{quiet}");

    analyzer.set_paused(true);
    push(&mut analyzer, &mut heard, &tone(-10.0), 512, position(480_000));
    let paused = heard.last();
    assert!((lufs(paused.pass.integrated_power) - quiet).abs() < 0.01, "a pause holds");
    assert!((lufs(paused.short_term_power) + 10.0).abs() < 0.1, "the live windows go on");
    assert_eq!(paused.pass.seconds, 10.0);

    analyzer.set_paused(false);
    push(&mut analyzer, &mut heard, &tone(-30.0), 512, position(960_000));
    let on = heard.last().pass;
    assert!((lufs(on.integrated_power) - quiet).abs() < 0.05, "nothing of the pause counts");
    assert!((on.range_lu.unwrap()).abs() < 0.05, "{:?}", on.range_lu);
    assert_eq!(on.seconds, 20.0);

    analyzer.set_paused(true);
    analyzer.reset_pass();
    push(&mut analyzer, &mut heard, &tone(-10.0), 512, position(1_440_000));
    assert_eq!(heard.last().pass.integrated_power, 0.0, "reset in pause");
    analyzer.set_paused(false);
    push(&mut analyzer, &mut heard, &tone(-20.0), 512, position(1_920_000));
    let after = heard.last().pass;
    assert!((lufs(after.integrated_power) + 20.0).abs() < 0.1);
    assert!((lufs(after.short_term_max_power) + 20.0).abs() < 0.1, "no window reaches back");
}

/// A host that curves its tempo tells a new one each block, and its beats differ a little from what the last
/// tempo foretold. No cell is lost, none is told twice, and it is one pass.
#[test]
fn a_tempo_curve_loses_no_cell() {
    for block in [64, 480, 2048] {
        let sound = Noise::new(5).white(30 * 48_000, 0.1);
        let (mut analyzer, mut heard) = (analyzer(), Heard::default());
        // From 90 to 150 in 30 s; beats are the integral.
        let tempo = |s: f64| 90.0 + 2.0 * s;
        let beats = |s: f64| (90.0 * s + s * s) / 60.0;
        push(&mut analyzer, &mut heard, &sound, block, |at| {
            let s = at as f64 / RATE;
            playing(beats(s), tempo(s))
        });
        analyzer.finish(&mut heard);
        let indices: Vec<i64> = heard.cells.iter().map(|cell| cell.index).collect();
        let expected: Vec<i64> = (0..=(beats(30.0) / 2.0) as i64).collect();
        assert_eq!(indices[..expected.len() - 1], expected[..expected.len() - 1], "blocks of {block}");
        assert_eq!(heard.last().place.pass, 1, "blocks of {block}");
    }
}

/// Whatever a host says, it is survived, and time goes on.
#[test]
fn positions_that_make_no_sense_are_survived() {
    let values = [
        0.0,
        -1.0,
        1e-14,
        f64::MIN_POSITIVE,
        1.0,
        120.0,
        1e9,
        1e300,
        f64::MAX,
        -f64::MAX,
        f64::NAN,
        f64::INFINITY,
    ];
    let frames = [None, Some(0), Some(i64::MIN), Some(i64::MAX), Some(-1)];
    let sound = sine(RATE, 1000.0, -20.0, 0.0, 0.1);
    let (mut analyzer, mut heard) = (analyzer(), Heard::default());
    let mut pushed = 0u64;
    for (turn, beats) in values.into_iter().enumerate() {
        for tempo in values {
            for song_frame in frames {
                let position = Position {
                    playing: Some(true),
                    song_frame,
                    beats: Some(beats),
                    tempo_bpm: Some(tempo),
                    preroll: turn % 5 == 4,
                    offline: turn % 3 == 2,
                };
                for block in sound[..1500].chunks(500) {
                    analyzer.push(block, block, position, &mut heard);
                    pushed += block.len() as u64;
                }
            }
        }
    }
    analyzer.finish(&mut heard);
    assert_eq!(heard.readings.iter().map(|reading| u64::from(reading.frames)).sum::<u64>(), pushed);
    assert!(heard.readings.iter().all(|reading| reading.short_term_power.is_finite()));
}

/// After a host's reset frames are counted on, and the sound before leaves no trace.
#[test]
fn a_clear_forgets_the_sound_and_counts_on() {
    let loud = sine(RATE, 100.0, -3.0, 0.0, 3.3);
    let quiet = sine(RATE, 1000.0, -40.0, 0.0, 4.0);
    let (mut analyzer, mut heard) = (analyzer(), Heard::default());
    push(&mut analyzer, &mut heard, &loud, 500, |_| Position::UNKNOWN);
    analyzer.clear(&mut heard);
    let (before, cells_before) = (heard.readings.len(), heard.cells.len());
    push(&mut analyzer, &mut heard, &quiet, 512, |at| Position::in_file(at as i64));
    analyzer.finish(&mut heard);
    assert_eq!(heard.last().end_frame as usize, loud.len() + quiet.len());

    let mut fresh = Heard::default();
    let mut other = self::analyzer();
    push(&mut other, &mut fresh, &quiet, 512, |at| Position::in_file(at as i64));
    other.finish(&mut fresh);
    let after = &heard.readings[before..];
    assert_eq!(after.len(), fresh.readings.len());
    for (after, fresh) in after.iter().zip(&fresh.readings) {
        assert_eq!(after.pass, fresh.pass);
        assert_eq!(after.bands_3s, fresh.bands_3s);
    }
    for (after, fresh) in heard.cells[cells_before..].iter().zip(&fresh.cells) {
        assert_eq!((after.bands, after.weighted), (fresh.bands, fresh.weighted));
    }
}

/// Hosts reset a plugin when they stop, while the last cell still waits for its lowest bands.
#[test]
fn a_clear_gives_the_cells_that_were_filled() {
    let sound = Noise::new(31).white(4 * 48_000 + 30_000, 0.1);
    let (mut analyzer, mut heard) = (analyzer(), Heard::default());
    push(&mut analyzer, &mut heard, &sound, 512, |at| Position::in_file(at as i64));
    analyzer.clear(&mut heard);
    assert_eq!(heard.cells.len(), 4, "four seconds are filled, the fifth is not");
    assert_eq!(heard.readings.iter().map(|reading| reading.frames as usize).sum::<usize>(), sound.len());
    let file = Heard::stereo(RATE, &sound, &sound);
    for (cleared, of_file) in heard.cells.iter().zip(&file.cells) {
        assert_eq!(cleared.weighted, of_file.weighted);
        // The file goes on for a little after the last cell, and so do windows that stand for its end.
        for (cleared, of_file) in cleared.bands.iter().zip(of_file.bands) {
            let apart_db = 10.0 * (cleared.left / of_file.left).log10();
            assert!(apart_db.abs() < 0.05, "{apart_db} dB");
        }
    }
    let given = heard.cells.len();
    analyzer.clear(&mut heard);
    assert_eq!(heard.cells.len(), given, "once");
}

/// The low bands' windows are longer than a second. Where a pass begins, those that still see the one before
/// are left out, so a loud bass before a jump is not heard in the song after it; nor, higher up, in the first cell after it, most
/// of whose windows see nothing of what was before.
#[test]
fn a_jump_leaves_the_other_places_sound_behind() {
    for (hz, band, first) in [(40.0, 3, 51), (1000.0, 17, 50)] {
        let loud = sine(RATE, hz, -10.0, 0.0, 6.0);
        let quiet = sine(RATE, hz, -50.0, 0.0, 6.0);
        let (mut analyzer, mut heard) = (analyzer(), Heard::default());
        push(&mut analyzer, &mut heard, &loud, 512, |at| playing(at as f64 / 24_000.0, 120.0));
        push(&mut analyzer, &mut heard, &quiet, 512, |at| playing(100.0 + at as f64 / 24_000.0, 120.0));
        analyzer.finish(&mut heard);
        let level = |index: i64| {
            let cell = heard.cells.iter().find(|cell| cell.index == index).unwrap();
            10.0 * f64::from(cell.bands[band].left + cell.bands[band].right).log10()
        };
        let (before, after) = (level(5), level(50));
        println!("{hz} Hz in the last cell before a jump and in the first after: {before:.1}, {after:.1} dB");
        for (cells, wanted) in [(first..=55, -50.0), (0..=4, -10.0)] {
            for index in cells {
                assert!((level(index) - wanted).abs() < 0.5, "{hz} Hz, cell {index}: {}", level(index));
            }
        }
    }
}

/// One over is one chunk, at a file's end too.
#[test]
fn overs_are_chunks() {
    let square: Vec<f32> = (0..480_000).map(|n| if n / 24 % 2 == 0 { 1.0 } else { -1.0 }).collect();
    let song = Heard::stereo(RATE, &square, &square).figures(RATE);
    assert_eq!(song.health.overs, 100);
    let level = amplitude(-6.0) as f32;
    let half: Vec<f32> = square.iter().map(|x| x * level).collect();
    assert_eq!(Heard::stereo(RATE, &half, &half).figures(RATE).health.overs, 0);
}
