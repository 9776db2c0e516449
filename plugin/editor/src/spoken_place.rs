//! What a place in the song does, in words: from long to short.

use candlemark_session::figures::Fold;
use candlemark_session::strip::StripPoint;
use candlemark_session::words::{clock, number};

use crate::spoken;
use crate::strip_lines::begin_s;

/// What is to be said of a song position, in seconds.
pub(crate) fn place(strip: &[StripPoint], song_s: f64) -> Vec<String> {
    let at = clock(song_s);
    let point = strip.iter().find(|point| begin_s(point) <= song_s && song_s <= point.song_s);
    let Some(point) = point else { return vec![format!("{at}: not heard")] };
    let Some(latest) = point.latest else {
        let what = if point.aside { "aside, and nothing of the song heard" } else { "silence" };
        return vec![format!("{at}: {what}"), at];
    };
    let loudness = number(latest.0, 1);
    let kept = point.mono.map_or(0.0, |mono| 10f64.powf((mono.0 - latest.0) / 10.0));
    let [mono, mono_short] = spoken::mono(Fold { kept: Some(kept) });
    let before = point.before.map(|before| number(before.0, 1));
    let long = before.as_ref().map(|before| format!("; the pass before {before}")).unwrap_or_default();
    let short = before.map(|before| format!(", before {before}")).unwrap_or_default();
    let mut is = String::new();
    if point.over {
        is.push_str("; over 0 dBTP");
    }
    if point.aside {
        is.push_str("; aside now");
    }
    vec![
        format!("{at}: {loudness} LUFS short-term{mono}{long}{is}"),
        format!("{at}: {loudness} LUFS{mono_short}{short}{is}"),
        format!("{at}: {loudness} LUFS{mono_short}{is}"),
        format!("{at}: {loudness} LUFS"),
    ]
}

#[cfg(test)]
mod tests {
    use candlemark_analysis::Lufs;

    use super::*;
    use crate::fixtures;

    fn point() -> StripPoint {
        let [latest, mono, before] = [-18.4, -19.6, -19.04].map(|lufs| Some(Lufs(lufs)));
        StripPoint { latest, mono, before, ..fixtures::point(84.0) }
    }

    fn said(point: StripPoint) -> String {
        place(&[point], 83.5)[0].clone()
    }

    #[test]
    fn a_place_says_its_clock_its_loudness_mono_and_what_it_is() {
        assert_eq!(
            said(point()),
            "1:23: −18.4 LUFS short-term; mono leaves 1.2 dB less; the pass before −19.0"
        );
        let over = StripPoint { over: true, aside: true, before: None, mono: None, ..point() };
        assert_eq!(said(over), "1:23: −18.4 LUFS short-term; mono leaves nothing; over 0 dBTP; aside now");
    }

    #[test]
    fn silence_aside_and_what_was_not_heard_are_three_things() {
        let silent = StripPoint { latest: None, mono: None, before: None, ..point() };
        assert_eq!(said(silent), "1:23: silence");
        assert_eq!(said(StripPoint { aside: true, ..silent }), "1:23: aside, and nothing of the song heard");
        assert_eq!(place(&[point()], 90.0), ["1:30: not heard"]);
    }
}
