use super::*;
use crate::Gain;
use crate::audition::tests::{BLOCK, largest_step, ready, sound};
use crate::audition::{Fader, Sound};

/// Plays blocks of 10 ms of a steady song.
fn played(fader: &mut Fader, audition: Audition, blocks: usize) -> [Vec<f32>; 2] {
    let mut both = [Vec::new(), Vec::new()];
    for _ in 0..blocks {
        let (mut left, mut right) = ([0.0; BLOCK], [0.0; BLOCK]);
        fader.play(sound(audition), &mut left, &mut right);
        both[0].extend(left);
        both[1].extend(right);
    }
    both
}

fn rms_db(samples: &[f32]) -> f64 {
    let power: f64 = samples.iter().map(|sample| f64::from(*sample).powi(2)).sum();
    10.0 * (power / samples.len() as f64).log10()
}

#[test]
fn one_speaker_has_it_and_the_other_nothing() {
    for (audition, heard) in [(Audition::NoiseLeftSpeaker, 0), (Audition::NoiseRightSpeaker, 1)] {
        let both = played(&mut ready(), audition, 2000);
        assert!(both[1 - heard].iter().all(|&sample| sample == 0.0));
        // Noise of 18 s and some 1500 Hz width has a mean power within 0.1 dB (three standard deviations).
        let level = rms_db(&both[heard][200 * BLOCK..]);
        assert!((level - RMS_DB).abs() < 0.1, "{level} dB");
    }
}

#[test]
fn it_begins_twenty_decibels_lower_and_is_up_after_two_seconds() {
    let [left, _] = played(&mut ready(), Audition::NoiseLeftSpeaker, 400);
    // The first 100 ms lie at −30 to −28.5 dB; a tenth of a second of noise wanders by 2 dB at most.
    assert!(rms_db(&left[..10 * BLOCK]) < RMS_DB - 20.0);
    for tenth in 1..20 {
        let level = rms_db(&left[tenth * 10 * BLOCK..(tenth + 1) * 10 * BLOCK]);
        let wanted = RMS_DB - BEGINS_UNDER_DB * (1.0 - (tenth as f64 + 0.5) / 20.0);
        assert!((level - wanted).abs() < 2.0, "tenth {tenth}: {level} dB, not {wanted} dB");
    }
    assert!((rms_db(&left[200 * BLOCK..]) - RMS_DB).abs() < 0.3);
}

#[test]
fn it_ends_within_ten_milliseconds_without_a_step() {
    let mut fader = ready();
    let before = played(&mut fader, Audition::NoiseLeftSpeaker, 300);
    let after = played(&mut fader, Audition::Off, 3);
    let both: Vec<f32> = before[0].iter().chain(&after[0]).copied().collect();
    assert!(largest_step(&both[300 * BLOCK - 1..]) <= largest_step(&before[0]) * 1.05);
    assert!(after[0][BLOCK + 1..].iter().all(|&sample| sample == 0.0) && fader.is_idle());
}

#[test]
fn asked_for_anew_or_in_the_other_speaker_it_rises_anew() {
    let mut fader = ready();
    played(&mut fader, Audition::NoiseLeftSpeaker, 300);
    let [left, right] = played(&mut fader, Audition::NoiseRightSpeaker, 10);
    assert!(left[BLOCK + 1..].iter().all(|&sample| sample == 0.0));
    assert!(rms_db(&right) < RMS_DB - 20.0);

    // An end so short that the noise has not gone when it is asked for again.
    played(&mut fader, Audition::NoiseRightSpeaker, 300);
    fader.play(sound(Audition::Off), &mut [0.0; 32], &mut [0.0; 32]);
    let [_, right] = played(&mut fader, Audition::NoiseRightSpeaker, 20);
    assert!(rms_db(&right[BLOCK..10 * BLOCK]) < RMS_DB - 20.0);
}

#[test]
fn cut_it_is_silent_from_the_next_frame_on() {
    let mut fader = ready();
    played(&mut fader, Audition::NoiseLeftSpeaker, 300);
    let (mut left, mut right) = ([0.25; BLOCK], [-0.5; BLOCK]);
    fader.play(Sound { at_once: true, ..sound(Audition::Off) }, &mut left, &mut right);
    assert!(left == [0.25; BLOCK] && right == [-0.5; BLOCK] && fader.is_idle());
}

#[test]
fn the_song_is_not_in_it() {
    let (mut silent, mut loud) = (ready(), ready());
    let sound = Sound { gain: Gain::MAX, ..sound(Audition::NoiseLeftSpeaker) };
    let (mut a, mut b) = (([0.0; 2 * BLOCK], [0.0; 2 * BLOCK]), ([0.5; 2 * BLOCK], [-0.5; 2 * BLOCK]));
    silent.play(sound, &mut a.0, &mut a.1);
    loud.play(sound, &mut b.0, &mut b.1);
    assert_eq!((&a.0[BLOCK..], &a.1[BLOCK..]), (&b.0[BLOCK..], &b.1[BLOCK..]));
}

#[test]
fn at_a_rate_without_room_it_is_silence() {
    for rate in [0.0, -1.0, 4000.0, f64::NAN, f64::INFINITY] {
        let mut fader = Fader::default();
        fader.prepare(Hertz(rate));
        let [left, right] = played(&mut fader, Audition::NoiseLeftSpeaker, 3);
        assert!(left.iter().chain(&right).all(|&sample| sample == 0.0), "{rate}");
    }
}

#[test]
fn on_a_mono_bus_it_plays_in_the_one_channel_and_no_audition_does() {
    for audition in Audition::ALL {
        let mut fader = ready();
        let mut heard = Vec::new();
        for _ in 0..500 {
            let mut only = [0.5; BLOCK];
            let played = fader.play_mono(sound(audition), &mut only);
            assert_eq!(played, if audition.is_noise() { audition } else { Audition::Off });
            heard.extend(only);
        }
        if audition.is_noise() {
            assert!((rms_db(&heard[200 * BLOCK..]) - RMS_DB).abs() < 0.3);
        } else {
            assert!(heard.iter().all(|&sample| sample == 0.5), "{audition:?}");
        }
        fader.play_mono(sound(Audition::Off), &mut [0.5; 2 * BLOCK]);
        let mut only = [0.5; BLOCK];
        fader.play_mono(sound(Audition::Off), &mut only);
        assert!(fader.is_idle() && only == [0.5; BLOCK]);
    }
}
