use proptest::prelude::*;

use super::*;

const RATE: Hertz = Hertz(48_000.0);
/// 10 ms.
const RAMP: usize = 480;

fn sound(audition: Audition) -> Sound {
    Sound { audition, gain: Gain::UNITY, at_once: false }
}

fn bits(samples: &[f32]) -> Vec<u32> {
    samples.iter().map(|sample| sample.to_bits()).collect()
}

/// A fader as an activation leaves it: it can play the noise, too.
fn ready() -> Fader {
    let mut fader = Fader::default();
    fader.prepare(RATE);
    fader
}

/// What has become of so many frames that are `left` and `right` throughout.
fn play_steady(fader: &mut Fader, sound: Sound, frames: usize, [l, r]: [f32; 2]) -> (Vec<f32>, Vec<f32>) {
    let (mut left, mut right) = (vec![l; frames], vec![r; frames]);
    fader.play(sound, RATE, &mut left, &mut right);
    (left, right)
}

/// The largest step between neighbouring samples.
fn largest_step(samples: &[f32]) -> f32 {
    samples.windows(2).map(|pair| (pair[1] - pair[0]).abs()).fold(0.0, f32::max)
}

#[test]
fn off_leaves_every_bit() {
    let odd = [f32::NAN, -0.0, 0.0, f32::INFINITY, f32::MIN_POSITIVE / 4.0, -1.0, 0.1];
    let (mut left, mut right) = (odd, odd);
    let mut fader = ready();
    for factor in [0.1, 2.0] {
        let off = Sound { gain: Gain::of_amplitude(factor), ..sound(Audition::Off) };
        fader.play(off, RATE, &mut left, &mut right);
        assert!(fader.is_idle());
        assert_eq!((bits(&left), bits(&right)), (bits(&odd), bits(&odd)));
    }
}

#[test]
fn after_the_ramp_the_audition_and_the_song_are_exact() {
    for audition in Audition::ALL {
        let mut fader = ready();
        play_steady(&mut fader, sound(audition), RAMP, [0.3, -0.7]);
        let (mut left, mut right) = (vec![0.3, -0.0, f32::MIN_POSITIVE], vec![-0.7, 0.0, 0.2]);
        let (mut plain_left, mut plain_right) = (left.clone(), right.clone());
        apply(audition, Gain::UNITY, &mut plain_left, &mut plain_right);
        fader.play(sound(audition), RATE, &mut left, &mut right);
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
        let odd = vec![-0.0, f32::NAN, 0.1];
        let (mut left, mut right) = (odd.clone(), odd.clone());
        fader.play(sound(Audition::Off), RATE, &mut left, &mut right);
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
fn the_lines_end_is_the_audition_itself() {
    // The ramp's mix and the audition's own arithmetic are two writings of one thing.
    for audition in Audition::ALL {
        for factor in [0.5, 1.0, 1.7] {
            let gain = Gain::of_amplitude(factor);
            let (mut left, mut right) = ([0.3], [-0.8]);
            apply(audition, gain, &mut left, &mut right);
            let (mut l, mut r) = (0.3, -0.8);
            Mix::of(audition, gain).play(&mut l, &mut r);
            assert!((l - left[0]).abs() < 1e-7 && (r - right[0]).abs() < 1e-7, "{audition:?}");
        }
    }
}

#[test]
fn what_must_end_at_once_has_no_ramp() {
    let mut fader = ready();
    play_steady(&mut fader, sound(Audition::Left), 100, [0.3, -0.7]);
    let at_once = Sound { at_once: true, ..sound(Audition::Off) };
    let (left, right) = play_steady(&mut fader, at_once, 100, [0.3, -0.7]);
    assert!(left.iter().all(|&sample| sample == 0.3) && right.iter().all(|&sample| sample == -0.7));
    assert!(fader.is_idle());
}

#[test]
fn a_ramp_back_that_has_begun_is_cut_too() {
    let mut fader = ready();
    play_steady(&mut fader, sound(Audition::Left), 1000, [0.3, -0.7]);
    play_steady(&mut fader, sound(Audition::Off), 100, [0.3, -0.7]);
    assert!(!fader.is_idle());
    let at_once = Sound { at_once: true, ..sound(Audition::Off) };
    let (left, right) = play_steady(&mut fader, at_once, 100, [0.3, -0.7]);
    assert!(left.iter().all(|&sample| sample == 0.3) && right.iter().all(|&sample| sample == -0.7));
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
        let (mut left, mut right) = ([1.0; 5], [0.0; 3]);
        fader.play(sound(Audition::MonoBoth), Hertz(rate), &mut left, &mut right);
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
