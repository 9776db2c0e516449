//! What the audio thread does here allocates nothing.

#![cfg(not(loom))]

use assert_no_alloc::{AllocDisabler, assert_no_alloc};
use candlemark_analysis::Hertz;
use candlemark_handoff::{Audition, Fader, Gain, Moment, Release, orders};

// Aborts the process where `assert_no_alloc` finds an allocation.
#[global_allocator]
static ALLOCATOR: AllocDisabler = AllocDisabler;

#[test]
fn orders_are_taken_and_played_without_an_allocation() {
    let sample_rate = Hertz(48_000.0);
    let (sender, mut receiver) = orders();
    let (mut release, mut fader) = (Release::default(), Fader::default());
    fader.prepare(sample_rate);
    let (mut left, mut right) = (vec![0.5; 256], vec![-0.25; 256]);
    let mut sounded = 0;
    for block in 0..1000 {
        sender.beat();
        if block % 10 == 1 {
            let audition = Audition::ALL[block / 10 % Audition::ALL.len()];
            sender.match_level(audition, Gain::of_amplitude(1.25));
            sender.hold(audition);
        }
        assert_no_alloc(|| {
            let moment = Moment {
                frames: left.len() as u64,
                sample_rate,
                begun_anew: block == 0,
                transport_started: block == 500,
                transport_runs: false,
                prints: (700..800).contains(&block),
            };
            let sound = release.step(&moment, &receiver.poll());
            fader.play(sound, &mut left, &mut right);
            receiver.tell(sound.audition);
        });
        sounded += u32::from(sender.sounding() != Audition::Off);
    }
    assert!(sounded > 500, "only {sounded} blocks sounded");
}
