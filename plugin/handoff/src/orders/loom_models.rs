//! Models of the orders, gone through with `--cfg loom`: every order in which the threads may run, and every
//! value that the memory model lets a load give, with any number of preemptions.
//!
//! What they cover: one or two threads that order, two orders, and the audio thread polling twice while
//! they do. Each fails when `Release` in `OrderSender::order` or `Acquire` in `OrderReceiver::poll` is weakened
//! to `Relaxed`, but for the second, which stands on single atomics alone.

use loom::thread;

use super::*;

#[test]
fn loom_an_order_comes_with_the_heartbeat_and_the_gain_before_it() {
    loom::model(|| {
        let (sender, mut receiver) = orders();
        let orderer = thread::spawn(move || {
            sender.beat();
            sender.match_level(Audition::Left, Gain::of_amplitude(0.5));
            sender.hold(Audition::Left);
            sender.let_go();
        });
        let mut beat = false;
        for _ in 0..2 {
            let seen = receiver.poll();
            beat |= seen.beat;
            assert!(beat || seen.audition.number == 0, "an order without a heartbeat");
            if seen.audition.audition == Audition::Left {
                assert_eq!(seen.gain.amplitude(), 0.5);
            }
        }
        orderer.join().unwrap();
    });
}

#[test]
fn loom_no_order_of_two_senders_is_lost_or_torn() {
    loom::model(|| {
        let (sender, mut receiver) = orders();
        let other = sender.clone();
        let first = thread::spawn(move || {
            other.latch(Audition::MonoBoth);
            other.reset_pass();
        });
        let second = thread::spawn(move || {
            sender.hold(Audition::Difference);
            sender.reset_pass();
        });
        let (mut number, mut resets) = (0, 0);
        let mut poll = || {
            let Orders { audition, pass_resets, .. } = receiver.poll();
            match audition.audition {
                Audition::MonoBoth => assert!(audition.latched && audition.number > 0),
                Audition::Difference => assert!(!audition.latched && audition.number > 0),
                other => assert!(other == Audition::Off && audition.number == 0),
            }
            assert!(audition.number >= number, "an older order after a newer one");
            number = audition.number;
            resets += pass_resets;
            (number, resets)
        };
        poll();
        first.join().unwrap();
        second.join().unwrap();
        assert_eq!(poll(), (2, 2));
    });
}
