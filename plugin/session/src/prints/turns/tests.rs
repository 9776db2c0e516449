use super::*;
use crate::a_cell::a_cell;

/// The old print's level of a band in a second: it wanders by some decibels, from a fixed rule.
fn old_db(second: usize, band: usize) -> f64 {
    -30.0 + 4.0 * (second as f64 * 0.7 + band as f64).sin()
}

/// What is found where a new print of two minutes has this much more, by second and band, in dB.
fn found(more_db: impl Fn(usize, usize) -> f64) -> Vec<Turn> {
    let old: Vec<Cell> = (0..120).map(|s| a_cell(s as i64, |band| old_db(s, band))).collect();
    let new: Vec<Cell> =
        (0..120).map(|s| a_cell(s as i64, |band| old_db(s, band) + more_db(s, band))).collect();
    let second = |(s, (old, new)): (usize, _)| Second { number: s, at_s: 5.0 + s as f64, old, new };
    turns(&old.iter().zip(&new).enumerate().map(second).collect::<Vec<_>>())
}

fn band(hz: f64) -> usize {
    NOMINAL_HZ.iter().position(|nominal| *nominal == hz).unwrap()
}

#[test]
fn bands_that_were_lifted_from_a_place_on_are_found_together() {
    let lifted = band(2500.0)..=band(4000.0);
    let found = found(|s, band| if s >= 55 && lifted.contains(&band) { 2.0 } else { 0.0 });
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!((found[0].at_s, found[0].until_s), (60.0, None));
    assert_eq!(found[0].bands_hz, Some([2500.0, 4000.0]));
    assert!((found[0].moved_db - 2.0).abs() < 1e-4, "{found:?}");
    assert_eq!(found[0].words(), "From 1:00 on, 2.5–4 kHz has come up by 2.0 dB against what lies before.");
}

#[test]
fn a_stretch_that_was_turned_down_has_an_end() {
    let found = found(|s, band| if (55..75).contains(&s) && band == 7 { -3.0 } else { 0.0 });
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!((found[0].at_s, found[0].until_s), (60.0, Some(80.0)));
    assert_eq!(found[0].words(), "From 1:00 to 1:20, 100 Hz has gone down by 3.0 dB against the rest.");
}

/// A fader moves all bands, and is told of the whole; whatever gain both prints differ by is nowhere in it.
#[test]
fn a_fader_is_one_change_of_the_whole() {
    let found = found(|s, _| if s >= 55 { 8.5 } else { 7.0 });
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!((found[0].at_s, found[0].bands_hz), (60.0, None));
    assert!((found[0].moved_db - 1.5).abs() < 1e-4, "{found:?}");
    assert_eq!(found[0].words(), "From 1:00 on, it has come up by 1.5 dB against what lies before.");
}

#[test]
fn what_is_changed_everywhere_or_hardly_or_for_a_moment_turns_nowhere() {
    assert_eq!(found(|_, band| 0.3 * band as f64), []);
    assert_eq!(found(|s, band| if s >= 55 && NOMINAL_HZ[band] == 20_000.0 { 9.0 } else { 0.0 }), []);
    assert_eq!(found(|s, band| if s >= 55 && (9..12).contains(&band) { 0.98 } else { 0.0 }), []);
    assert_eq!(found(|s, band| if (55..60).contains(&s) && band == 9 { 3.0 } else { 0.0 }), []);
    assert_eq!(found(|s, band| if s >= 55 && band == 9 { 1.9 } else { 0.0 }), [], "alone");
    assert_eq!(turns(&[]), []);
}

/// A limiter takes from what is loud: the difference follows the music, here by 3 dB to either side, and turns nothing.
#[test]
fn what_follows_the_music_is_no_change_from_a_place_on() {
    assert_eq!(found(|s, band| 3.0 * (s as f64 * 0.7 + band as f64).sin()), []);
}
