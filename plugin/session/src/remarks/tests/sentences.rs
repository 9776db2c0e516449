//! What the remarks say, and what they stand on.

use super::*;

/// Every rule's sentence as a person reads it, at the figure that just trips it; in the order of the cases.
const SENTENCES: [&str; 22] = [
    "The right side is silent for 20 s from 1:10 while the left one plays. Try its routing first.",
    "The two sides are out of phase throughout: mono keeps little of the song. Turn the polarity of one first.",
    "One sample is no number. Something upstream breaks: switch what is on the bus off one by one.",
    "80–125 Hz falls away by 3 dB in mono from 2:14. Something low is wide or out of phase between the sides: narrow it.",
    "2–3.15 kHz falls away by 6 dB in mono in the 10 s from 1:20: something cancels. Try the polarity of one part there first.",
    "Mono takes 1.7 dB of the song, and 0.7 dB to 0.7 dB of those records. Try the widest part narrower first.",
    "The two sides work against each other: correlation −0.3 over the song. Hear it in mono first.",
    "You have worked 31 minutes on this song, and its time is over. This is a good place to stop: hear it tomorrow first.",
    "You have listened for 46 minutes without a rest. Rest 12 minutes; then turn down, and hear a record first.",
    "At the chair it is about 4 dB louder than you meant to listen. Turn the monitors down first.",
    "The mix has got 3 dB brighter since its first passes. Turn down, and hear a record before you go on.",
    "2–3.15 kHz has come up by 4 dB since its first passes. Turn down, and hear a record before you go on.",
    "This song is not like those records. Take a yardstick from others, or go without one.",
    "2–6.3 kHz lies 3 dB above where those records have it. Turn down, and hear one of them first.",
    "The loud parts move less than those records’: PSR 7.5 dB, theirs 8.0 to 10.0 dB. Try less limiting first.",
    "Through one speaker of 400 Hz–15 kHz 2 dB more is lost than of any of those records. Hear it on such a one first.",
    "The song keeps nearer to one loudness than those records: range 3.0 LU, theirs 6.0 to 6.0 LU. Try its quiet parts quieter first.",
    "It clips 11 times. Turn the mix down before its last stage.",
    "True peak goes to +0.3 dBTP. Turn the mix down a little before it is printed.",
    "The right side is 3 dB louder over the whole song. Look at the balance of the bus first.",
    "Both sides are the same throughout, and those records are wide. If it is not meant, look at the routing of the bus first.",
    "There is DC, −45 dBFS on the right. Try a high-pass at 20 Hz where it comes in.",
];

#[test]
fn every_rule_says_its_sentence_to_the_letter() {
    for (Case(id, trips, ..), sentence) in CASES.into_iter().zip(SENTENCES) {
        assert_eq!(said(trips).remove(0).text, sentence, "{id}");
    }
}

#[test]
fn the_sentences_say_what_how_much_where_and_what_to_try() {
    let first = |change: Change| said(change).remove(0).text;
    for (change, text) in [
        (
            (|s| low_end(s, -2.6, [Some(45.0), Some(75.0)])) as Change,
            "80–125 Hz falls away by 5 dB in mono, first from 0:45 to 1:15. Something low is wide or out of phase between \
             the sides: narrow it.",
        ),
        (
            |s| s.cancels[0].fold.kept = Some(0.0),
            "2–3.15 kHz is lost in mono in the 10 s from 1:20: something cancels. Try the polarity of one part there \
             first.",
        ),
        (
            |s| raised(s, 2000.0, 6300.0, -2.8),
            "2–6.3 kHz lies 3 dB below where those records have it. Turn down, and hear one of them first.",
        ),
        (
            |s| {
                s.health.clipped_runs = 12;
                s.health.clipped_at_s = Some(74.0);
            },
            "It clips 12 times, first at 1:14. Turn the mix down before its last stage.",
        ),
        (
            |s| {
                s.true_peak_dbtp = Some(Db(0.34));
                s.health.over_at_s = Some(62.0);
            },
            "True peak goes to +0.3 dBTP, first over at 1:02. Turn the mix down a little before it is printed.",
        ),
        (
            |s| s.health.dc_left = 0.01,
            "There is DC, −40 dBFS on the left. Try a high-pass at 20 Hz where it comes in.",
        ),
    ] {
        assert_eq!(first(change), text);
    }
}

#[test]
fn the_evidence_is_what_the_sentence_says() {
    let remark = said(|song| low_end(song, -2.6, [Some(134.2), None])).remove(0);
    let Figure::Fold(Some(fold)) = remark.evidence.figure else { panic!("{:?}", remark.evidence) };
    assert!((fold.0 + 5.2).abs() < 1e-9);
    assert_eq!((remark.evidence.bands_hz, remark.evidence.at_s), (Some([80.0, 125.0]), Some(134.2)));
    let text = serde_json::to_string(&said(|song| raised(song, 2000.0, 6300.0, 4.0)).remove(0)).unwrap();
    assert!(text.starts_with("{\"id\":\"balance\",\"text\":\"2–6.3 kHz"), "{text}");
    assert!(text.contains("\"urgency\":\"apart\",\"evidence\":{\"figure\":{\"off_db\":"), "{text}");
    assert!(text.ends_with(",\"bands_hz\":[2000.0,6300.0],\"at_s\":null}}"), "{text}");
}

/// The definitions are told where every figure is defined.
#[test]
fn every_rule_and_its_limits_stand_among_the_measures() {
    let document = include_str!("../../../../../docs/measures.md");
    for rule in &RULES {
        let row = format!("| `{}` | {} | {} |", rule.id, rule.limits(), rule.source);
        assert!(document.contains(&row), "docs/measures.md has no row {row}");
    }
}
