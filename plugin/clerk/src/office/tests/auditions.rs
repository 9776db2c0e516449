//! What the clerk does for an audition: its gain, and its end in a render.

use super::*;
use crate::level_match;

const QUIET: Sine = Sine { amplitude: 0.05, ..SINE };
/// Has nothing to do with [`QUIET`].
const OTHER: Sine = Sine { step: 0.17, ..QUIET };

/// An instance in which mono sounds, lifted by the 3 dB that unrelated sides lose in it, and that gain.
fn sounding() -> (Instance, Gain) {
    let mut instance = Instance::new();
    instance.play([QUIET, OTHER], 4, false);
    instance.wait_for("the level match", |_| matched_db(&instance) > 2.9);
    instance.audio.tell(Audition::MonoBoth);
    let gain = instance.sender.matched(Audition::MonoBoth);
    (instance, gain)
}

fn matched_db(instance: &Instance) -> f64 {
    level_match::db(instance.sender.matched(Audition::MonoBoth))
}

/// Plays the same sine on both sides, which mono leaves as it is, until it is all that the last 3 s hold.
fn alike(instance: &mut Instance, sine: Sine) -> Arc<Shown> {
    let peak_db = 20.0 * f64::from(sine.amplitude).log10();
    instance.play([sine; 2], 4, false);
    instance.wait_for("the sound", |shown| {
        let is_alike = shown.view.correlation.is_some_and(|correlation| correlation > 0.9999);
        is_alike && peak_3s_db(shown).is_some_and(|db| (db - peak_db).abs() < 0.1)
    })
}

fn peak_3s_db(shown: &Shown) -> Option<f64> {
    Some(shown.view.psr?.0 + shown.view.short_term?.0)
}

#[test]
fn while_it_sounds_its_gain_stays_whatever_the_loudness_match_does() {
    let _alone = alone();
    let (mut instance, gain) = sounding();
    let shown = alike(&mut instance, QUIET);
    assert_eq!(instance.sender.matched(Audition::MonoBoth), gain);
    assert_eq!(shown.match_db, Some(level_match::db(gain)));
    // The match itself has moved by 3 dB: that is what the next one gets.
    instance.audio.tell(Audition::Off);
    let shown = instance.wait_for("the level match", |_| matched_db(&instance) < 0.1);
    assert_eq!(shown.match_db, None);
}

#[test]
fn what_gets_louder_while_it_sounds_is_lowered_just_to_fit() {
    let _alone = alone();
    let (mut instance, gain) = sounding();
    // Under full scale with the whole gain, by 0.1 dB.
    alike(&mut instance, Sine { amplitude: 0.7, ..SINE });
    assert_eq!(instance.sender.matched(Audition::MonoBoth), gain);
    let shown = alike(&mut instance, Sine { amplitude: 0.9, ..SINE });
    let peak_db = peak_3s_db(&shown).unwrap();
    assert!((matched_db(&instance) + peak_db).abs() < 0.001, "{} dB at {peak_db}", matched_db(&instance));
    assert_eq!(shown.match_db, Some(matched_db(&instance)));
    // The song itself is over full scale: mono is then no louder than it, and no softer.
    alike(&mut instance, Sine { amplitude: 1.3, ..SINE });
    assert_eq!(instance.sender.matched(Audition::MonoBoth), Gain::UNITY);
    alike(&mut instance, QUIET);
    assert_eq!(
        instance.sender.matched(Audition::MonoBoth),
        Gain::UNITY,
        "nothing is turned up while it sounds"
    );
}

/// An offline render that the host does not call one: it comes faster than time.
#[test]
fn an_audition_is_let_go_when_sound_comes_faster_than_time() {
    let _alone = alone();
    let mut instance = Instance::new();
    let before = instance.audio.poll().audition.number;
    instance.sound(1, false);
    instance.wait_for("the sound", |shown| shown.view.momentary.is_some());
    instance.sound(30, false);
    let order =
        wait("the letting go", || Some(instance.audio.poll().audition).filter(|order| order.number > before));
    assert_eq!(order.audition, Audition::Off);
}
