use super::*;

#[test]
fn nothing_is_ordered_to_begin_with() {
    let (sender, mut receiver) = orders();
    let expected = Orders {
        audition: AuditionOrder { number: 0, audition: Audition::Off, latched: false },
        gain: Gain::UNITY,
        beat: false,
        pass_resets: 0,
        paused: false,
    };
    assert_eq!(receiver.poll(), expected);
    assert_eq!(receiver.poll(), expected);
    assert_eq!(sender.sounding(), Audition::Off);
    assert!(!sender.is_paused());
}

#[test]
fn each_audition_comes_as_it_was_ordered_the_latest_wins_and_the_same_again_is_a_new_order() {
    let (sender, mut receiver) = orders();
    let mut number = 0;
    for audition in Audition::ALL {
        for latched in [false, true] {
            sender.hold(Audition::Difference);
            if latched {
                sender.latch(audition);
            } else {
                sender.hold(audition);
            }
            number += 2;
            let expected = if latched && audition.is_noise() {
                // The noise can't be latched.
                AuditionOrder { number, audition: Audition::Off, latched: false }
            } else {
                AuditionOrder { number, audition, latched }
            };
            assert_eq!(receiver.poll().audition, expected);
        }
    }
    sender.let_go();
    number += 1;
    let off = AuditionOrder { number, audition: Audition::Off, latched: false };
    assert_eq!(receiver.poll().audition, off);
}

#[test]
fn a_change_is_told_once() {
    let (sender, mut receiver) = orders();
    sender.beat();
    sender.beat();
    sender.reset_pass();
    sender.reset_pass();
    sender.reset_pass();
    let seen = receiver.poll();
    assert_eq!((seen.beat, seen.pass_resets), (true, 3));
    let seen = receiver.poll();
    assert_eq!((seen.beat, seen.pass_resets), (false, 0));
}

#[test]
fn a_pause_lasts_until_it_is_ended() {
    let (sender, mut receiver) = orders();
    sender.pause(true);
    assert!(receiver.poll().paused && receiver.poll().paused && sender.is_paused());
    sender.pause(false);
    assert!(!receiver.poll().paused && !sender.is_paused());
}

#[test]
fn each_audition_has_its_own_level_match() {
    let (sender, mut receiver) = orders();
    for (audition, hundredths) in Audition::ALL.into_iter().zip(100u8..) {
        sender.match_level(audition, Gain::of_amplitude(f32::from(hundredths) / 100.0));
    }
    for (audition, hundredths) in Audition::ALL.into_iter().zip(100u8..) {
        sender.hold(audition);
        assert_eq!(receiver.poll().gain.amplitude(), f32::from(hundredths) / 100.0, "{audition:?}");
    }
}

#[test]
fn the_sender_learns_what_sounds() {
    let (sender, receiver) = orders();
    for audition in Audition::ALL {
        receiver.tell(audition);
        assert_eq!(sender.sounding(), audition);
    }
}
