use proptest::collection::vec;
use proptest::prelude::*;

use super::*;
use crate::audition::tests::{BLOCK, RATE, ready as fader, sound};
use crate::{AuditionOrder, Gain};

const QUIET: Moment = Moment {
    frames: BLOCK as u64,
    sample_rate: RATE,
    begun_anew: false,
    transport_started: false,
    transport_runs: false,
    prints: false,
};

fn ordered(number: u64, audition: Audition) -> Orders {
    Orders {
        audition: AuditionOrder { number, audition, latched: false },
        gain: Gain::UNITY,
        beat: true,
        pass_resets: 0,
        paused: false,
    }
}

fn latched(number: u64) -> Orders {
    let audition = AuditionOrder { number, audition: Audition::MonoBoth, latched: true };
    Orders { audition, ..ordered(number, Audition::MonoBoth) }
}

/// A plugin that has been set up, with an editor that is there.
fn ready() -> Release {
    let mut release = Release::default();
    release.step(&Moment { begun_anew: true, ..QUIET }, &ordered(0, Audition::Off));
    release.step(&QUIET, &ordered(0, Audition::Off));
    release
}

fn sounds(release: &mut Release, moment: &Moment, orders: &Orders) -> bool {
    release.step(moment, orders).audition != Audition::Off
}

#[test]
fn an_audition_sounds_while_it_is_held_and_no_longer() {
    let mut release = ready();
    for (number, audition) in (1..).zip(Audition::ALL) {
        // Close to a minute; the noise has half of one.
        for _ in 0..if audition.is_noise() { 2900 } else { 5900 } {
            assert_eq!(release.step(&QUIET, &ordered(number, audition)), sound(audition));
        }
    }
    assert_eq!(release.step(&QUIET, &ordered(100, Audition::Off)), sound(Audition::Off));
}

/// The host's doing in one block lets go, at once and for good; a new order sounds again.
fn lets_go_for_good(cause: Moment) {
    let mut release = ready();
    let first = ordered(1, Audition::Left);
    assert!(sounds(&mut release, &QUIET, &first));
    let sound = release.step(&cause, &first);
    assert_eq!((sound.audition, sound.at_once), (Audition::Off, true));
    for _ in 0..1000 {
        assert!(!sounds(&mut release, &QUIET, &first), "it came back by itself");
    }
    assert!(sounds(&mut release, &QUIET, &ordered(2, Audition::Left)));
}

#[test]
fn what_begins_anew_lets_go() {
    lets_go_for_good(Moment { begun_anew: true, ..QUIET });
}

#[test]
fn a_transport_that_starts_lets_go() {
    lets_go_for_good(Moment { transport_started: true, ..QUIET });
}

#[test]
fn an_offline_render_lets_go() {
    lets_go_for_good(Moment { prints: true, ..QUIET });
}

#[test]
fn what_is_ordered_during_a_render_does_not_sound_after_it() {
    let mut release = ready();
    let render = Moment { prints: true, ..QUIET };
    assert!(!sounds(&mut release, &render, &ordered(1, Audition::Left)));
    assert!(!sounds(&mut release, &render, &ordered(2, Audition::Right)));
    assert!(!sounds(&mut release, &QUIET, &ordered(2, Audition::Right)));
}

#[test]
fn what_was_ordered_before_the_first_block_never_sounds() {
    let mut release = Release::default();
    for _ in 0..100 {
        assert!(!sounds(&mut release, &QUIET, &ordered(9, Audition::Left)));
    }
    assert!(sounds(&mut release, &QUIET, &ordered(10, Audition::Left)));
}

#[test]
fn a_late_heartbeat_lets_go_for_good() {
    let mut release = ready();
    let first = ordered(1, Audition::Left);
    assert!(sounds(&mut release, &QUIET, &first));
    let silent = Orders { beat: false, ..first };
    // 15 blocks of 10 ms: at the start of the 15th the beat is 150 ms old, and not late yet.
    for block in 1..=15 {
        assert!(sounds(&mut release, &QUIET, &silent), "block {block}");
    }
    let sound = release.step(&QUIET, &silent);
    assert_eq!((sound.audition, sound.at_once), (Audition::Off, false));
    assert!(!sounds(&mut release, &QUIET, &first), "it came back with the heartbeat");
    assert!(sounds(&mut release, &QUIET, &ordered(2, Audition::Left)));
}

#[test]
fn a_heartbeat_within_its_time_holds_also_in_long_blocks() {
    let mut release = ready();
    let long = Moment { frames: 8192, ..QUIET };
    let first = ordered(1, Audition::Left);
    for _ in 0..50 {
        assert!(sounds(&mut release, &long, &first));
    }
    // 8192 frames are 171 ms.
    assert!(!sounds(&mut release, &long, &Orders { beat: false, ..first }));
}

#[test]
fn nothing_sounds_before_an_editor_was_there() {
    let mut release = Release::default();
    release.step(&Moment { begun_anew: true, ..QUIET }, &ordered(0, Audition::Off));
    let no_editor = Orders { beat: false, ..ordered(1, Audition::Left) };
    assert!(!sounds(&mut release, &QUIET, &no_editor));
}

#[test]
fn held_or_latched_it_lets_go_within_a_minute_and_a_new_order_begins_a_new_minute() {
    let held = |number| ordered(number, Audition::MonoBoth);
    for order in [held, latched] {
        let mut release = ready();
        for number in 1..3 {
            let blocks = (0..10_000).take_while(|_| sounds(&mut release, &QUIET, &order(number))).count();
            assert_eq!(blocks, 6000, "blocks of 10 ms");
            assert!(
                (0..1000).all(|_| !sounds(&mut release, &QUIET, &order(number))),
                "it came back by itself"
            );
        }
        // A block that would go beyond the minute does not begin.
        let mut release = ready();
        let long = Moment { frames: 48_000 * 7, ..QUIET };
        let blocks = (0..100).take_while(|_| sounds(&mut release, &long, &order(1))).count();
        assert_eq!(blocks, 8, "blocks of 7 s");
    }
}

#[test]
fn a_sample_rate_that_is_none_lets_go() {
    for rate in [0.0, -48_000.0, f64::NAN] {
        let mut release = ready();
        let odd = Moment { sample_rate: Hertz(rate), ..QUIET };
        assert!(!sounds(&mut release, &odd, &latched(1)), "{rate}");
        assert!(!sounds(&mut release, &odd, &ordered(2, Audition::Left)), "{rate}");
    }
}

const NOISES: [Audition; 2] = [Audition::NoiseLeftSpeaker, Audition::NoiseRightSpeaker];

#[test]
fn the_noise_lets_go_after_half_a_minute() {
    for noise in NOISES {
        let mut release = ready();
        for number in 1..3 {
            let blocks =
                (0..10_000).take_while(|_| sounds(&mut release, &QUIET, &ordered(number, noise))).count();
            assert_eq!(blocks, 3000, "blocks of 10 ms");
            assert!((0..1000).all(|_| !sounds(&mut release, &QUIET, &ordered(number, noise))));
        }
    }
}

#[test]
fn the_noise_never_sounds_while_the_transport_runs_and_does_not_come_back_when_it_stops() {
    let runs = Moment { transport_runs: true, ..QUIET };
    for noise in NOISES {
        let mut release = ready();
        assert!(!sounds(&mut release, &runs, &ordered(1, noise)));
        assert!(!sounds(&mut release, &QUIET, &ordered(1, noise)));
        assert!(sounds(&mut release, &QUIET, &ordered(2, noise)));
        assert!(!sounds(&mut release, &runs, &ordered(2, noise)));
        assert!(sounds(&mut release, &runs, &ordered(3, Audition::MonoBoth)), "an audition may");
    }
}

#[test]
fn the_noise_lets_go_at_each_cause_and_for_good() {
    for noise in NOISES {
        for cause in [
            Moment { begun_anew: true, ..QUIET },
            Moment { transport_started: true, transport_runs: true, ..QUIET },
            Moment { prints: true, ..QUIET },
        ] {
            let mut release = ready();
            assert!(sounds(&mut release, &QUIET, &ordered(1, noise)));
            let sound = release.step(&cause, &ordered(1, noise));
            assert_eq!((sound.audition, sound.at_once), (Audition::Off, true));
            assert!((0..100).all(|_| !sounds(&mut release, &QUIET, &ordered(1, noise))));
        }
        let mut release = ready();
        let silent = Orders { beat: false, ..ordered(1, noise) };
        // The editor was there a block before; 150 ms are 15 blocks of 10 ms.
        let blocks = (0..100).take_while(|_| sounds(&mut release, &QUIET, &silent)).count();
        assert_eq!(blocks, 15, "a late heartbeat");
        assert!(!sounds(&mut release, &QUIET, &ordered(1, noise)), "it came back with the heartbeat");
    }
}

#[test]
fn the_noise_can_not_be_latched() {
    for noise in NOISES {
        let mut release = ready();
        let audition = AuditionOrder { number: 1, audition: noise, latched: true };
        assert!(!sounds(&mut release, &QUIET, &Orders { audition, ..ordered(1, noise) }));
    }
}

/// A block as a host may send it: its length, what the host says, what is ordered.
#[derive(Clone, Copy, Debug)]
struct Step {
    moment: Moment,
    beat: bool,
    new_order: Option<(usize, bool)>,
}

fn steps() -> impl Strategy<Value = Vec<Step>> {
    let rare = || prop::bool::weighted(0.04);
    let order = prop::option::weighted(0.2, (0..Audition::ALL.len(), any::<bool>()));
    let step = (1..4096u64, rare(), rare(), prop::bool::weighted(0.1), prop::bool::weighted(0.6), order);
    let step = step.prop_map(|(frames, begun_anew, transport_started, prints, beat, new_order)| Step {
        moment: Moment {
            frames,
            sample_rate: RATE,
            begun_anew,
            transport_started,
            transport_runs: transport_started,
            prints,
        },
        beat,
        new_order,
    });
    vec(step, 1..120)
}

proptest! {
    #[test]
    fn only_a_fresh_order_under_a_fresh_heartbeat_sounds(steps in steps()) {
        let mut release = Release::default();
        let mut order = AuditionOrder::default();
        let mut since_beat = None;
        // Whether anything has happened since the order that ends it.
        let mut ended = true;
        for (index, step) in steps.into_iter().enumerate() {
            if let Some((number, latched)) = step.new_order {
                let audition = Audition::ALL[number];
                order = AuditionOrder { number: order.number + 1, audition, latched };
                ended = false;
            }
            let Moment { frames, begun_anew, transport_started, prints, .. } = step.moment;
            ended |= index == 0 || begun_anew || transport_started || prints;
            if begun_anew {
                since_beat = None;
            } else if step.beat && index > 0 {
                since_beat = Some(0);
            }
            // 150 ms are 7200 frames.
            ended |= since_beat.is_none_or(|frames| frames > 7200);
            let orders = Orders { audition: order, beat: step.beat, ..ordered(0, Audition::Off) };
            let sound = release.step(&step.moment, &orders);
            ended |= order.audition.is_noise() && order.latched;
            // The steps are shorter than half a minute together, so that no order ends by itself.
            prop_assert_eq!(sound.audition, if ended { Audition::Off } else { order.audition });
            since_beat = since_beat.map(|before| before + frames);
        }
    }

    #[test]
    fn a_render_is_its_input_bit_for_bit(steps in steps()) {
        let mut release = Release::default();
        let mut fader = fader();
        let mut order = AuditionOrder::default();
        for step in steps {
            if let Some((number, latched)) = step.new_order {
                let audition = Audition::ALL[number];
                order = AuditionOrder { number: order.number + 1, audition, latched };
            }
            let orders = Orders { audition: order, beat: step.beat, ..ordered(0, Audition::Off) };
            let sound = release.step(&step.moment, &orders);
            let input: Vec<f32> = (0..step.moment.frames).map(|frame| (frame as f32 * 0.7).sin()).collect();
            let other: Vec<f32> = input.iter().map(|sample| 0.25 - sample * 0.5).collect();
            let (mut left, mut right) = (input.clone(), other.clone());
            fader.play(sound, &mut left, &mut right);
            let Moment { prints, begun_anew, transport_started, .. } = step.moment;
            if prints || begun_anew || transport_started {
                prop_assert!(left == input && right == other);
                prop_assert!(fader.is_idle());
            }
        }
    }
}
