use proptest::prelude::*;

use super::*;
use crate::audition::tests::{BLOCK as RAMP, largest_step, ready, sound};

fn bits(samples: &[f32]) -> Vec<u32> {
    samples.iter().map(|sample| sample.to_bits()).collect()
}

/// What has become of so many frames that are `left` and `right` throughout.
fn play_steady(fader: &mut Fader, sound: Sound, frames: usize, [l, r]: [f32; 2]) -> (Vec<f32>, Vec<f32>) {
    let (mut left, mut right) = (vec![l; frames], vec![r; frames]);
    fader.play(sound, &mut left, &mut right);
    (left, right)
}

/// What becomes of a block at once.
fn at_once<const N: usize>(
    audition: Audition,
    gain: Gain,
    mut left: [f32; N],
    mut right: [f32; N],
) -> [[f32; N]; 2] {
    Fader::default().play(Sound { audition, gain, at_once: true }, &mut left, &mut right);
    [left, right]
}

#[test]
fn each_audition_is_what_it_says_and_the_gain_is_a_factor_of_it() {
    let (left, right) = ([1.0, -0.5, 0.25, 0.0], [0.5, 0.5, -0.75, 1.0]);
    let sum = [0.75, 0.0, -0.25, 0.5];
    let difference = [0.25, -0.5, 0.5, -0.5];
    let silence = [0.0; 4];
    for (audition, expected) in [
        (Audition::MonoBoth, [sum, sum]),
        (Audition::MonoLeftSpeaker, [sum, silence]),
        (Audition::MonoRightSpeaker, [silence, sum]),
        (Audition::Left, [left, left]),
        (Audition::Right, [right, right]),
        (Audition::Difference, [difference, difference]),
        (Audition::NoiseLeftSpeaker, [silence, silence]),
        (Audition::NoiseRightSpeaker, [silence, silence]),
    ] {
        // Powers of two, so that the factor is exact.
        for factor in [0.0, 0.5, 1.0, 2.0] {
            let played = at_once(audition, Gain::of_amplitude(factor), left, right);
            assert_eq!(played, expected.map(|side| side.map(|sample| sample * factor)), "{audition:?}");
        }
    }
}

#[test]
fn two_channels_at_the_end_of_the_range_do_not_overflow() {
    assert_eq!(at_once(Audition::MonoBoth, Gain::UNITY, [f32::MAX], [f32::MAX]), [[f32::MAX]; 2]);
}

#[test]
fn one_side_alone_is_not_spoilt_by_the_other() {
    assert_eq!(at_once(Audition::Left, Gain::UNITY, [0.5], [f32::NAN]), [[0.5]; 2]);
}

#[test]
fn off_leaves_every_bit_whatever_the_gain() {
    let odd = [f32::NAN, -f32::NAN, -0.0, 0.0, f32::INFINITY, f32::MIN_POSITIVE / 4.0, 1e30, -1.0, 0.1];
    let (mut left, mut right) = (odd, odd);
    right.reverse();
    let before = (bits(&left), bits(&right));
    let mut fader = ready();
    for factor in [0.0, 0.3, 2.0] {
        let off = Sound { gain: Gain::of_amplitude(factor), ..sound(Audition::Off) };
        fader.play(off, &mut left, &mut right);
        assert!(fader.is_idle());
        assert_eq!((bits(&left), bits(&right)), before);
    }
}

#[test]
fn after_the_ramp_the_audition_and_the_song_are_exact() {
    for audition in Audition::ALL {
        let mut fader = ready();
        play_steady(&mut fader, sound(audition), RAMP, [0.3, -0.7]);
        let (mut left, mut right) = ([0.3, -0.0, f32::MIN_POSITIVE], [-0.7, 0.0, 0.2]);
        let [plain_left, plain_right] = at_once(audition, Gain::UNITY, left, right);
        fader.play(sound(audition), &mut left, &mut right);
        // What stands in the silence that the noise leaves is the noise, in its one speaker.
        match audition {
            Audition::NoiseLeftSpeaker => assert!(left.iter().all(|&sample| sample != 0.0)),
            _ => assert_eq!(bits(&left), bits(&plain_left), "{audition:?}"),
        }
        match audition {
            Audition::NoiseRightSpeaker => assert!(right.iter().all(|&sample| sample != 0.0)),
            _ => assert_eq!(bits(&right), bits(&plain_right), "{audition:?}"),
        }

        play_steady(&mut fader, sound(Audition::Off), RAMP, [0.3, -0.7]);
        assert!(fader.is_idle());
        let odd = [-0.0, f32::NAN, 0.1];
        let (mut left, mut right) = (odd, odd);
        fader.play(sound(Audition::Off), &mut left, &mut right);
        assert_eq!((bits(&left), bits(&right)), (bits(&odd), bits(&odd)));
    }
}

#[test]
fn a_change_is_a_straight_line_of_ten_milliseconds() {
    let mut fader = ready();
    let (left, right) = play_steady(&mut fader, sound(Audition::MonoRightSpeaker), RAMP + 1, [0.5, 0.5]);
    for frame in 0..=RAMP {
        let share = ((frame + 1) as f32 / (RAMP + 1) as f32).min(1.0);
        assert!((left[frame] - 0.5 * (1.0 - share)).abs() < 1e-6, "frame {frame}");
        assert!((right[frame] - 0.5).abs() < 1e-6, "frame {frame}");
    }
    assert_eq!((left[RAMP], right[RAMP]), (0.0, 0.5));
}

#[test]
fn what_must_end_at_once_has_no_ramp_nor_the_rest_of_one() {
    for before in [&[(Audition::Left, 100)][..], &[(Audition::Left, 1000), (Audition::Off, 100)]] {
        let mut fader = ready();
        for (audition, frames) in before {
            play_steady(&mut fader, sound(*audition), *frames, [0.3, -0.7]);
        }
        assert!(!fader.is_idle());
        let at_once = Sound { at_once: true, ..sound(Audition::Off) };
        let (left, right) = play_steady(&mut fader, at_once, 100, [0.3, -0.7]);
        assert!(left.iter().all(|&sample| sample == 0.3) && right.iter().all(|&sample| sample == -0.7));
        assert!(fader.is_idle());
    }
}

#[test]
fn a_gain_that_changes_is_ramped() {
    let mut fader = ready();
    play_steady(&mut fader, sound(Audition::MonoBoth), 1000, [1.0, 1.0]);
    let louder = Sound { gain: Gain::MAX, ..sound(Audition::MonoBoth) };
    let (left, _) = play_steady(&mut fader, louder, 1000, [1.0, 1.0]);
    assert!(left[0] < 1.01 && left[999] == 2.0);
    assert!(largest_step(&left) < 1.0 / RAMP as f32 + 1e-6);
}

#[test]
fn a_sample_rate_that_is_none_and_unequal_sides_do_no_harm() {
    for rate in [0.0, f64::NAN, -1.0] {
        let mut fader = Fader::default();
        fader.prepare(Hertz(rate));
        let (mut left, mut right) = ([1.0; 5], [0.0; 3]);
        fader.play(sound(Audition::MonoBoth), &mut left, &mut right);
        assert_eq!((left, right), ([0.5, 0.5, 0.5, 1.0, 1.0], [0.5; 3]));
    }
}

proptest! {
    /// Whatever is asked for and when, a steady sound never jumps by more than the ramp's own steepness, also
    /// from block to block, and after 10 ms of `Off` every bit is the song's.
    #[test]
    fn nothing_clicks_and_the_song_comes_back(
        changes in proptest::collection::vec((0usize..9, 0.0f32..2.0, 1usize..900), 1..20),
        input in [-1.0f32..1.0, -1.0f32..1.0],
    ) {
        let mut fader = ready();
        let (mut left, mut right) = (vec![input[0]], vec![input[1]]);
        for (number, factor, frames) in changes {
            let gain = Gain::of_amplitude(factor);
            let sound = Sound { audition: Audition::ALL[number], gain, at_once: false };
            let (more_left, more_right) = play_steady(&mut fader, sound, frames, input);
            left.extend(more_left);
            right.extend(more_right);
        }
        // No mix of two samples within ±1 is beyond ±2, so no ramp leads further than 4. The noise, still 24 dB under its
        // level after so few frames, is less steep by far.
        let steepest = 4.0 / (RAMP + 1) as f32 + 1e-5;
        prop_assert!(largest_step(&left) < steepest && largest_step(&right) < steepest);

        play_steady(&mut fader, sound(Audition::Off), RAMP, input);
        let (left, right) = play_steady(&mut fader, sound(Audition::Off), 50, input);
        prop_assert!(left.iter().all(|sample| sample.to_bits() == input[0].to_bits()));
        prop_assert!(right.iter().all(|sample| sample.to_bits() == input[1].to_bits()));
    }
}
