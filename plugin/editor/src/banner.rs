//! The banner over the picture while an audition is asked for: nobody mixes what is not the song without knowing.

use candlemark_session::words::{SAME_DB, signed};
use egui::{Rect, Ui};

use crate::controls::Hearing;
use crate::pen::{self, Kit};

/// Height of the banner, in points.
pub(crate) const HEIGHT: f32 = 30.0;

pub(crate) fn draw(ui: &Ui, kit: Kit, place: Rect, hearing: &Hearing) {
    let pen = kit.pen(ui);
    let (fill, ink) = if hearing.sounds {
        (pen.colours.accent, pen.colours.background)
    } else {
        (pen.colours.rule, pen.colours.ink)
    };
    pen.fill(place, fill);
    let said = said(hearing);
    let words =
        pen.first_that_fits(&said, pen::SENTENCE, place.width() - 24.0).or(said.last().map(String::as_str));
    pen.text_within(place, words.unwrap_or_default(), pen::SENTENCE, ink);
    kit.label(ui, place, "the banner", &said[0]);
}

/// What the banner says, from long to short.
fn said(hearing: &Hearing) -> Vec<String> {
    let what = hearing.what.words();
    if hearing.what.is_noise() {
        return if hearing.sounds {
            vec![
                format!("{what}, none of which is measured. Let go to end it."),
                format!("{what}. Let go to end it."),
            ]
        } else {
            vec![
                "No noise: it is refused while playback runs, in a render or a recording, and ends after half a minute.".into(),
                "No noise while playback runs, or after half a minute.".into(),
            ]
        };
    }
    if !hearing.sounds {
        return vec![
            "The song plays as it is: what was asked for has let go (a minute, a start, or a render). Ask again.".into(),
            "The song plays as it is: what was asked for has let go. Ask again.".into(),
        ];
    }
    let matched = match hearing.match_db {
        Some(db) if db.abs() >= SAME_DB => format!(", {} dB to match its loudness", signed(db, 1)),
        _ => String::new(),
    };
    let end = match hearing.left_s {
        Some(left_s) => format!("Lets go in {} s.", left_s.ceil()),
        None => "Let go to hear the song.".into(),
    };
    vec![
        format!("You hear {what} instead of the song{matched}. {end}"),
        format!("You hear {what}{matched}. {end}"),
        format!("You hear {what}."),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::controls::Hear;

    #[test]
    fn it_says_what_is_heard_how_loud_and_until_when() {
        let mut hearing =
            Hearing { what: Hear::Mono, sounds: true, match_db: Some(0.62), left_s: Some(42.2) };
        assert_eq!(
            said(&hearing)[0],
            "You hear mono instead of the song, +0.6 dB to match its loudness. Lets go in 43 s."
        );
        hearing.match_db = Some(0.0);
        hearing.left_s = None;
        assert_eq!(said(&hearing)[0], "You hear mono instead of the song. Let go to hear the song.");
        hearing.sounds = false;
        hearing.what = Hear::NoiseRight;
        assert!(said(&hearing)[0].starts_with("No noise: it is refused while playback runs"));
        hearing.sounds = true;
        assert_eq!(said(&hearing)[1], "Noise from the right speaker. Let go to end it.");
        (hearing.sounds, hearing.what) = (false, Hear::Mono);
        assert!(said(&hearing)[0].starts_with("The song plays as it is"));
    }
}
