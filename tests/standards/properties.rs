//! Laws that hold for any sound.

use candlemark_analysis::{Analyzer, Channels, Hertz};
use candlemark_session::figures::SongFigures;
use candlemark_tests::measured::{Heard, playing, push};
use candlemark_tests::signals::Noise;

/// Twelve seconds of uneven noise with some of the right in the left.
fn music(rate: f64, seed: u64, seconds: f64) -> (Vec<f32>, Vec<f32>) {
    let mut noise = Noise::new(seed);
    let frames = (rate * seconds) as usize;
    let (mut slow, mut left, mut right) = (0.0, Vec::new(), Vec::new());
    for n in 0..frames {
        let swell = 0.15 + 0.1 * (n as f64 / rate * std::f64::consts::TAU * 0.4).sin();
        let (a, b) = (noise.gaussian(swell), noise.gaussian(swell));
        slow += 0.05 * (a - slow);
        left.push((slow * 2.0 + 0.4 * a) as f32);
        right.push((slow * 2.0 + 0.3 * b) as f32);
    }
    (left, right)
}

fn in_blocks(left: &[f32], right: &[f32], sizes: &[usize]) -> Heard {
    Heard::in_blocks(48_000.0, Channels::Stereo, left, right, sizes)
}

#[test]
fn any_split_into_blocks_gives_the_same_bits() {
    let (left, right) = music(48_000.0, 1, 6.0);
    let whole = in_blocks(&left, &right, &[left.len()]);
    for sizes in [&[1][..], &[64], &[480], &[512], &[4096], &[1, 0, 7, 500, 33, 2048]] {
        let split = in_blocks(&left, &right, sizes);
        assert!(split.readings == whole.readings, "readings in blocks of {sizes:?}");
        assert!(split.cells == whole.cells, "cells in blocks of {sizes:?}");
    }
}

/// A host's position by the block: beats, with a tempo change and a loop's wrap on the way. Each stretch is a
/// run of frames from a beat at a tempo.
fn hear_stretches(left: &[f32], right: &[f32], block: usize, stretches: &[(usize, f64, f64)]) -> Heard {
    let mut heard = Heard::default();
    let mut analyzer = Analyzer::new(Hertz(48_000.0), Channels::Stereo).unwrap();
    let mut at = 0;
    for &(frames, beat, tempo) in stretches {
        let sides = [&left[at..at + frames], &right[at..at + frames]];
        let beats = |since: usize| beat + since as f64 * tempo / 60.0 / 48_000.0;
        push(&mut analyzer, sides, block, |since| playing(beats(since), tempo), &mut heard);
        at += frames;
    }
    analyzer.finish(&mut heard);
    heard
}

#[test]
fn any_split_gives_the_same_bits_over_jumps_and_tempo_changes() {
    let (left, right) = music(48_000.0, 2, 12.0);
    // To beat 8, on at another tempo, back to beat 2 (a wrap), on.
    let stretches =
        [(192_000, 0.0, 120.0), (100_003, 8.0, 97.0), (150_000, 2.0, 120.0), (130_000, 8.25, 120.0)];
    let whole = hear_stretches(&left, &right, usize::MAX / 4, &stretches);
    assert_eq!(whole.last().place.pass, 2, "one wrap makes two passes");
    assert!(whole.cells.iter().all(|cell| cell.by_beats));
    for block in [1, 64, 300, 512, 4096] {
        let split = hear_stretches(&left, &right, block, &stretches);
        assert!(split.readings == whole.readings, "readings in blocks of {block}");
        assert!(split.cells == whole.cells, "cells in blocks of {block}");
    }
}

/// Cells are two quarter notes: at 120 a minute, a second. A wrap in the middle of one drops it.
#[test]
fn cells_are_cut_by_the_hosts_beats() {
    let (left, right) = music(48_000.0, 3, 12.0);
    let heard = hear_stretches(
        &left,
        &right,
        256,
        &[(192_000, 0.0, 120.0), (72_000, 8.0, 240.0), (60_000, 1.0, 120.0)],
    );
    let indices: Vec<i64> = heard.cells.iter().map(|cell| cell.index).collect();
    // Four at 120; three more in 1.5 s at 240; then from beat 1: half of cell 0 (dropped), and cell 1 of the
    // new pass, whose last quarter second the file's end cuts off.
    assert_eq!(indices, [0, 1, 2, 3, 4, 5, 6, 1]);
    assert_eq!(heard.cells[0].frames, 48_000);
    assert_eq!(heard.cells[4].frames, 24_000);
    assert_eq!(heard.cells[7].place.pass, 2);
    assert!((heard.cells[7].coverage - 0.75).abs() < 1e-3);
}

fn close(a: Option<f64>, b: Option<f64>, tolerance: f64) -> bool {
    match (a, b) {
        (Some(a), Some(b)) => (a - b).abs() <= tolerance,
        (None, None) => true,
        _ => false,
    }
}

/// The figures that a change of gain must move by the gain, and those that it must not move.
fn loud_and_still(song: &SongFigures) -> (Vec<Option<f64>>, Vec<Option<f64>>) {
    let mut loud = vec![
        song.integrated.map(|l| l.0),
        song.momentary_max.map(|l| l.0),
        song.short_term_max.map(|l| l.0),
        song.true_peak_dbtp.map(|d| d.0),
        song.sample_peak_dbfs.map(|d| d.0),
    ];
    let mut still = vec![
        song.range_lu,
        song.plr.map(|d| d.0),
        song.psr_loud.map(|d| d.0),
        song.fold.kept,
        song.correlation,
        song.health.imbalance.map(|d| d.0),
    ];
    for band in &song.bands {
        loud.push(band.level.map(|d| d.0));
        still.extend([band.relative.map(|s| s.median_db), band.fold.kept, band.correlation]);
    }
    (loud, still)
}

#[test]
fn six_decibels_in_are_six_decibels_out() {
    let (left, right) = music(48_000.0, 4, 12.0);
    let quiet = in_blocks(&left, &right, &[512]).figures(48_000.0);
    let gain = |x: &f32| x * 2.0;
    let loud: Vec<f32> = left.iter().map(gain).collect();
    let loud_right: Vec<f32> = right.iter().map(gain).collect();
    let loud = in_blocks(&loud, &loud_right, &[512]).figures(48_000.0);
    let (quiet_loud, quiet_still) = loud_and_still(&quiet);
    let (loud_loud, loud_still) = loud_and_still(&loud);
    let step = 20.0 * 2f64.log10();
    for (i, (a, b)) in quiet_loud.iter().zip(&loud_loud).enumerate() {
        assert!(a.is_some() && close(a.map(|a| a + step), *b, 1e-4), "figure {i}: {a:?} to {b:?}");
    }
    for (i, (a, b)) in quiet_still.iter().zip(&loud_still).enumerate() {
        // The range's bins are 0.01 LU wide; everything else moves by rounding alone.
        assert!(a.is_some() && close(*a, *b, if i == 0 { 0.02 } else { 1e-4 }), "figure {i}: {a:?} to {b:?}");
    }
}

#[test]
fn swapping_or_turning_both_channels_changes_no_figure() {
    let (left, right) = music(48_000.0, 5, 12.0);
    let turn = |samples: &[f32]| samples.iter().map(|x| -x).collect::<Vec<f32>>();
    let straight = in_blocks(&left, &right, &[512]).figures(48_000.0);
    let swapped = in_blocks(&right, &left, &[512]).figures(48_000.0);
    let turned = in_blocks(&turn(&left), &turn(&right), &[512]).figures(48_000.0);
    let (straight_loud, mut straight_still) = loud_and_still(&straight);
    for other in [&swapped, &turned] {
        let (loud, mut still) = loud_and_still(other);
        for (a, b) in straight_loud.iter().zip(&loud) {
            assert!(close(*a, *b, 1e-4), "{a:?} to {b:?}");
        }
        // The imbalance alone changes, in sign, when the channels are swapped.
        still.remove(5);
        let unswapped = straight_still.remove(5);
        for (a, b) in straight_still.iter().zip(&still) {
            assert!(close(*a, *b, 1e-4), "{a:?} to {b:?}");
        }
        straight_still.insert(5, unswapped);
    }
    let (a, b) = (straight.health.imbalance.unwrap().0, swapped.health.imbalance.unwrap().0);
    assert!((a + b).abs() < 1e-4, "{a} and {b}");
}

#[test]
fn a_sound_twice_measures_as_once() {
    let (left, right) = music(48_000.0, 6, 20.0);
    let once = in_blocks(&left, &right, &[512]).figures(48_000.0);
    let twice = in_blocks(&left.repeat(2), &right.repeat(2), &[512]).figures(48_000.0);
    let (once_loud, once_still) = loud_and_still(&once);
    let (twice_loud, twice_still) = loud_and_still(&twice);
    // Kept and correlation are ratios from −1 to 1; the others are decibels.
    let is_ratio = |still: usize| still == 3 || still == 4 || (still >= 6 && !(still - 6).is_multiple_of(3));
    for (i, (a, b)) in once_still.iter().zip(&twice_still).enumerate().filter(|(i, _)| is_ratio(*i)) {
        assert!(close(*a, *b, 0.03), "ratio {i}: {a:?} to {b:?}");
    }
    for (i, (a, b)) in
        once_loud.iter().chain(&once_still).zip(twice_loud.iter().chain(&twice_still)).enumerate()
    {
        // The seam adds windows that lie over both halves; 0.3 dB is the statistic of 25 Hz over 20 s
        // (4.34/√(BT), B = 5.8 Hz) by which two hearings may differ.
        assert!(close(*a, *b, 0.3), "figure {i}: {a:?} to {b:?}");
    }
    assert!(close(once.integrated.map(|l| l.0), twice.integrated.map(|l| l.0), 0.02));
}

#[test]
fn silence_has_no_level_and_no_balance() {
    let silence = vec![0f32; 480_000];
    let song = in_blocks(&silence, &silence, &[512]).figures(48_000.0);
    assert_eq!(
        (song.integrated, song.momentary_max, song.short_term_max, song.range_lu),
        (None, None, None, None)
    );
    assert_eq!(
        (song.true_peak_dbtp, song.sample_peak_dbfs, song.plr, song.psr_loud, song.crest),
        (None, None, None, None, None)
    );
    assert_eq!((song.fold.kept, song.fold_worst, song.correlation), (None, None, None));
    assert_eq!(song.duration_s, 10.0);
    for band in &song.bands {
        assert_eq!((band.level, band.relative, band.fold.kept, band.correlation), (None, None, None, None));
    }
}

/// A fade into digital silence leaves no trace and no denormal numbers: after it, silence reads as silence.
#[test]
fn after_the_sound_windows_empty_wholly() {
    let (mut left, mut right) = music(48_000.0, 7, 3.0);
    left.resize(48_000 * 12, 0.0);
    right.resize(48_000 * 12, 0.0);
    let heard = in_blocks(&left, &right, &[512]);
    let last = &heard.readings[heard.readings.len() - 2];
    assert_eq!((last.momentary_power, last.short_term_power, last.true_peak_3s), (0.0, 0.0, 0.0));
    assert!(last.bands_3s.iter().all(|band| band.left == 0.0 && band.right == 0.0 && band.mid == 0.0));
}

#[test]
fn what_is_no_number_is_counted_and_spreads_nowhere() {
    let (left, right) = music(48_000.0, 8, 6.0);
    let (mut bad_left, mut bad_right) = (left.clone(), right.clone());
    let (mut clean_left, mut clean_right) = (left, right);
    for (i, bad) in [f32::NAN, f32::INFINITY, f32::NEG_INFINITY, 3e6, f32::NAN].into_iter().enumerate() {
        let place = 100_000 + i * 997;
        let (side, clean) =
            if i % 2 == 0 { (&mut bad_left, &mut clean_left) } else { (&mut bad_right, &mut clean_right) };
        side[place] = bad;
        clean[place] = 0.0;
    }
    let bad = in_blocks(&bad_left, &bad_right, &[512]).figures(48_000.0);
    let clean = in_blocks(&clean_left, &clean_right, &[512]).figures(48_000.0);
    assert_eq!(bad.health.non_finite, 5);
    let at = bad.health.non_finite_at_s.unwrap();
    assert!((at - 100_000.0 / 48_000.0).abs() < 0.1, "{at}");
    let health = candlemark_session::figures::Health { non_finite: 0, non_finite_at_s: None, ..bad.health };
    assert_eq!(SongFigures { health, ..bad }, clean);
}

#[test]
fn denormal_input_is_measured_as_next_to_nothing() {
    let tiny = vec![f32::MIN_POSITIVE / 4.0; 96_000];
    let song = in_blocks(&tiny, &tiny, &[512]).figures(48_000.0);
    assert_eq!(song.integrated, None);
    assert_eq!(song.health.non_finite, 0);
}

#[test]
fn every_supported_rate_measures_alike() {
    for rate in
        [8000.0, 11_025.0, 16_000.0, 22_050.0, 32_000.0, 44_100.0, 48_000.0, 96_000.0, 192_000.0, 384_000.0]
    {
        let tone = candlemark_tests::signals::sine(rate, 500.0, -20.0, 0.0, 6.0);
        let song = Heard::stereo(rate, &tone, &tone).figures(rate);
        let integrated = song.integrated.unwrap().0;
        // K-weighting at 500 Hz, from the tables of ITU-R BS.1770-5 Annex 1: +0.043 dB.
        assert!((integrated - (-20.0 - 0.691 + 0.043)).abs() < 0.06, "{rate} Hz: {integrated}");
        let band = song.bands.iter().find(|band| band.nominal.0 == 500.0).unwrap();
        assert!((band.level.unwrap().0 + 20.0).abs() < 0.1, "{rate} Hz: {:?}", band.level);
        assert!((song.true_peak_dbtp.unwrap().0 + 20.0).abs() < 0.1, "{rate} Hz");
    }
    for rate in [7999.0, 384_001.0, 0.0, -48_000.0, f64::NAN, f64::INFINITY] {
        assert!(Analyzer::new(Hertz(rate), Channels::Stereo).is_err(), "{rate} Hz");
    }
}

/// The shortest of files give an answer.
#[test]
fn very_short_sounds_are_measured() {
    for frames in [1, 63, 64, 65, 960, 4800, 19_199, 19_200, 48_000] {
        let tone = candlemark_tests::signals::sine(48_000.0, 1000.0, -6.0, 90.0, frames as f64 / 48_000.0);
        let heard = Heard::stereo(48_000.0, &tone, &tone);
        let song = heard.figures(48_000.0);
        assert_eq!(song.duration_s, frames as f64 / 48_000.0);
        assert!((song.sample_peak_dbfs.unwrap().0 + 6.0).abs() < 0.01, "{frames} frames");
        assert_eq!(song.integrated.is_some(), frames >= 19_200, "{frames} frames: a gating block is 400 ms");
        assert_eq!(song.fold.kept, Some(1.0), "{frames} frames");
        assert_eq!(heard.cells.iter().map(|cell| u64::from(cell.frames)).sum::<u64>(), frames as u64);
    }
}
