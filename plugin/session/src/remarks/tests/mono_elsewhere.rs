//! What mono takes is told once: not again as what one speaker elsewhere loses.

use super::*;
use crate::elsewhere::Playback;

/// So many decibels less than of any record are kept on a playback.
fn short_by(known: &mut Known, playback: Playback, db: f64) {
    known.elsewhere.push(Elsewhere { playback, kept_db: Some(-3.0 - db), records_db: Some([-3.0, -1.0]) });
}

const TELL_OF_MONO: [&str; 3] = ["low-end-fold", "cancellation", "fold"];

#[test]
fn where_mono_is_told_one_speaker_is_not() {
    for id in TELL_OF_MONO {
        let said = said(|known| {
            (by_id(id).1)(known);
            short_by(known, Playback::SmallSpeaker, 4.0);
            short_by(known, Playback::ThinSpeaker, 5.0);
        });
        assert_eq!(ids(&said), [id]);
    }
}

/// Two speakers play each side apart: what they lose is not mono's.
#[test]
fn where_mono_is_told_two_speakers_still_are() {
    for id in TELL_OF_MONO {
        let said = said(|known| {
            (by_id(id).1)(known);
            short_by(known, Playback::ThinSpeaker, 5.0);
            short_by(known, Playback::TwoSpeakers, 2.1);
        });
        assert_eq!(ids(&said), [id, "elsewhere"]);
        assert!(
            said[1].text.starts_with("Through two speakers of 200 Hz–16 kHz 2 dB more is lost"),
            "{}",
            said[1].text
        );
    }
}

/// What is meant was told all the same.
#[test]
fn it_stays_so_when_what_mono_takes_is_meant() {
    let mut known = Known::of(song());
    (by_id("fold").1)(&mut known);
    short_by(&mut known, Playback::SmallSpeaker, 4.0);
    let (mut remarks, records) = (Remarks::default(), records());
    assert_eq!(ids(&remarks.on(&known.given(&records))), ["fold"]);
    remarks.mean("fold");
    assert_eq!(ids(&remarks.on(&known.given(&records))), [""; 0]);
    // Mono takes no more than theirs: what one speaker loses is its own then.
    known.song.fold = kept(-0.7);
    assert_eq!(ids(&remarks.on(&known.given(&records))), ["elsewhere"]);
}
