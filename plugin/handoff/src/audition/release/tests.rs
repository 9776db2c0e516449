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

const NOISES: [Audition; 2] = [Audition::NoiseLeftSpeaker, Audition::NoiseRightSpeaker];
const HELD: [Audition; 3] = [Audition::Left, NOISES[0], NOISES[1]];

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
#[test]
fn what_begins_anew_a_transport_that_starts_and_a_render_let_go_for_good() {
    for audition in HELD {
        for cause in [
            Moment { begun_anew: true, ..QUIET },
            Moment { transport_started: true, ..QUIET },
            Moment { transport_started: true, transport_runs: true, ..QUIET },
            Moment { prints: true, ..QUIET },
        ] {
            let mut release = ready();
            let first = ordered(1, audition);
            assert!(sounds(&mut release, &QUIET, &first));
            assert_eq!(release.step(&cause, &first), Sound { at_once: true, ..sound(Audition::Off) });
            for _ in 0..1000 {
                assert!(!sounds(&mut release, &QUIET, &first), "it came back by itself after {cause:?}");
            }
            assert!(sounds(&mut release, &QUIET, &ordered(2, audition)));
        }
    }
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
    for audition in HELD {
        let mut release = ready();
        let first = ordered(1, audition);
        assert!(sounds(&mut release, &QUIET, &first));
        let silent = Orders { beat: false, ..first };
        // 15 blocks of 10 ms: at the start of the 15th the beat is 150 ms old, and not late yet.
        for block in 1..=15 {
            assert!(sounds(&mut release, &QUIET, &silent), "block {block}");
        }
        assert_eq!(release.step(&QUIET, &silent), sound(Audition::Off));
        assert!(!sounds(&mut release, &QUIET, &first), "it came back with the heartbeat");
        assert!(sounds(&mut release, &QUIET, &ordered(2, audition)));
    }
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
fn held_or_latched_it_lets_go_in_time_and_a_new_order_begins_anew() {
    // A minute, and half of one, in blocks of 10 ms and of 7 s: one that would go beyond does not begin.
    let audition = |number| ordered(number, Audition::MonoBoth);
    let [left, right] = NOISES.map(|noise| move |number| ordered(number, noise));
    let orders: [(&dyn Fn(u64) -> Orders, _); 4] =
        [(&audition, [6000, 8]), (&latched, [6000, 8]), (&left, [3000, 4]), (&right, [3000, 4])];
    for (order, blocks) in orders {
        for (seconds, blocks) in [0.01, 7.0].into_iter().zip(blocks) {
            let mut release = ready();
            let block = Moment { frames: (seconds * RATE.0) as u64, ..QUIET };
            for number in 1..3 {
                let mut plays = || sounds(&mut release, &block, &order(number));
                assert_eq!((0..10_000).take_while(|_| plays()).count(), blocks, "blocks of {seconds} s");
                assert!((0..1000).all(|_| !plays()), "it came back by itself");
            }
        }
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
