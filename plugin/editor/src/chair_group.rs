//! The level at the chair, and what is left of the song elsewhere: the two groups under mono.

use candlemark_session::chair::{AtChair, ChairLevel};
use candlemark_session::elsewhere::{Elsewhere, Playback};
use candlemark_session::words::number;
use egui::{Align, Button, Rect, Ui, pos2};

use crate::column_plan::{CHAIR_LINE, CHAIR_ROWS};
use crate::figure_row::Row;
use crate::pen::{self, Kit};
use crate::text;

/// Nearer to what was meant, a level is as it was meant, in dB (ours): the estimate is no better.
const ABOVE_DB: f64 = 3.0;

/// The button with which it is answered where the knob is, in points.
const ANSWER: f32 = 42.0;

/// What is written of the level at the chair.
struct Lines {
    figure: String,
    /// On the figure's right.
    beside: String,
    /// Under it where there is one line, from long to short.
    under: Vec<String>,
    /// Under it where there are more, instead: what is said first.
    words: Vec<String>,
    /// After that, what each is and its figure on the right.
    amounts: Vec<[String; 2]>,
    /// It is louder than was meant.
    above: bool,
}

/// Whether the last minutes were louder than was meant.
pub(crate) fn is_above(at_chair: &AtChair) -> bool {
    at_chair.over_meant_db().is_some_and(|db| db >= ABOVE_DB)
}

fn lines(at_chair: &AtChair) -> Lines {
    let nothing = |beside: &str, under: &[&str]| Lines {
        figure: text::UNDEFINED.into(),
        beside: beside.into(),
        under: under.iter().map(|&words| words.to_owned()).collect(),
        words: Vec::new(),
        amounts: Vec::new(),
        above: false,
    };
    match at_chair {
        AtChair::NoMark => nothing("not known", &["mark your monitors to have it", "mark your monitors"]),
        AtChair::Headphones => nothing("on headphones", &["a level is for speakers only"]),
        AtChair::Unconfirmed(knob) => {
            let ask = format!("is the knob at “{}”?", knob.name());
            nothing("not confirmed", &[&ask])
        }
        AtChair::Level(level) => {
            let over = level.over_meant_db.filter(|_| is_above(at_chair)).map(|db| number(db, 0));
            let (under, words) = match &over {
                Some(db) => (
                    vec![format!("turn the knob down by {db} dB")],
                    vec![format!("{db} dB above what you meant:"), "turn the knob down".into()],
                ),
                None => (vec![level.words().to_owned()], vec![level.words().to_owned()]),
            };
            Lines {
                figure: dba(level.now_dba),
                beside: format!("± {} · {} mark", number(level.plus_minus_db, 0), level.knob.name()),
                under,
                words,
                amounts: amounts(level),
                above: over.is_some(),
            }
        }
    }
}

fn dba(level: Option<f64>) -> String {
    level.map_or(text::UNDEFINED.into(), |dba| format!("≈ {} dBA", number(dba, 0)))
}

/// What this session comes to: its average, and its shares of two published amounts.
fn amounts(level: &ChairLevel) -> Vec<[String; 2]> {
    vec![
        ["session, averaged".into(), dba(level.averaged_dba)],
        ["of a day by NIOSH".into(), percent(level.niosh_day_share)],
        ["of a week by WHO, ITU".into(), percent(level.who_week_share)],
    ]
}

fn percent(share: f64) -> String {
    format!("{} %", number(100.0 * share, usize::from(share < 0.1)))
}

/// How many lines belong under the level beside the one that is always there.
pub(crate) fn further_lines(at_chair: &AtChair) -> usize {
    let Lines { words, amounts, .. } = lines(at_chair);
    (words.len() + amounts.len()).saturating_sub(1)
}

/// In a sentence.
fn said(at_chair: &AtChair) -> String {
    let Lines { figure, beside, under, words, .. } = lines(at_chair);
    let figure = if figure == text::UNDEFINED { "nothing yet".into() } else { figure };
    let words = if words.is_empty() { under[0].clone() } else { words.join(" ") };
    format!("At your chair: {figure}, {beside}; {words}")
}

fn hover(at_chair: &AtChair) -> String {
    let AtChair::Level(level) = at_chair else {
        return "What the music measures where you sit, in dBA, from a position of the monitor knob that you marked with \
                a sound-level meter."
            .into();
    };
    let ChairLevel { listened_s, averaged_dba, niosh_day_share, who_week_share, .. } = *level;
    let average =
        averaged_dba.map_or(String::new(), |dba| format!(" at ≈ {} dBA on average", number(dba, 0)));
    format!(
        "This session only, since the mark was confirmed: {}{average}. Of NIOSH’s recommended limit for a day that is \
         {}, of WHO and ITU’s for a week {}. The rest of your day is not counted, and no level is called safe: local \
         rules and a hearing professional come first.",
        text::hours(listened_s),
        percent(niosh_day_share),
        percent(who_week_share),
    )
}

/// The level, with what there is to say under it: one line in a place two rows high, and all of it in a higher one.
/// Gives where to answer what it asks.
pub(crate) fn draw_chair(ui: &Ui, kit: Kit, place: Rect, pitch: f32, at_chair: &AtChair) -> Option<Rect> {
    let (pen, colours) = (kit.pen(ui), kit.colours);
    let Lines { figure, beside, under, words, amounts, above } = lines(at_chair);
    let two_rows = place.with_max_y(place.top() + pitch * CHAIR_ROWS);
    let baseline = two_rows.top() + two_rows.height() * 0.25 + 6.0;
    let colour = if above { colours.accent } else { colours.ink };
    pen.text(pos2(place.left(), baseline), Align::Min, &figure, pen::FIGURE, colour);
    pen.text(pos2(place.right(), baseline), Align::Max, &beside, pen::NOTE, colours.note);
    let colour = if above { colours.accent } else { colours.note };
    let mut second = pos2(place.left(), two_rows.top() + two_rows.height() * 0.75 + 3.0);
    if amounts.is_empty() || place.height() < two_rows.height() + 1.0 {
        pen.text_that_fits(second, Align::Min, &under, pen::LABEL, place.width(), colour);
    } else {
        let line = pitch * CHAIR_LINE;
        for words in &words {
            pen.text(second, Align::Min, words, pen::LABEL, colour);
            second.y += line;
        }
        for [what, amount] in &amounts {
            pen.text(second, Align::Min, what, pen::NOTE, colours.note);
            pen.text(pos2(place.right(), second.y), Align::Max, amount, pen::NOTE, colours.ink);
            second.y += line;
        }
    }
    kit.label(ui, place, "at your chair", &said(at_chair)).on_hover_text(hover(at_chair));
    let answer = two_rows.split_top_bottom_at_fraction(0.5).1;
    matches!(at_chair, AtChair::Unconfirmed(_)).then(|| answer.with_min_x(place.right() - ANSWER))
}

/// The button that says that the knob is where it is marked. Gives whether it was pressed.
pub(crate) fn confirm(ui: &mut Ui, kit: Kit, place: Rect) -> bool {
    let (hint, name) =
        ("The level counts from now on, for this session", "The monitor knob is where it is marked");
    kit.button(ui, place, Button::new("it is"), hint, name)
}

/// What is left on each playback, the narrowest first.
pub(crate) fn elsewhere(view: &[Elsewhere]) -> Vec<Row> {
    let row = |playback: Playback| {
        let found = view.iter().find(|elsewhere| elsewhere.playback == playback);
        let figure = text::figure(found.and_then(|elsewhere| elsewhere.kept_db));
        let (label, hint) = match playback {
            Playback::SmallSpeaker => (
                "one 150–8k",
                "Loudness kept through one speaker from 150 Hz to 8 kHz, in dB: 0 is all of it. A figure, never a simulation.",
            ),
            Playback::ThinSpeaker => (
                "one 400–15k",
                "Loudness kept through one speaker from 400 Hz to 15 kHz, in dB: 0 is all of it. A figure, never a simulation.",
            ),
            Playback::TwoSpeakers => (
                "two 200–16k",
                "Loudness kept through two speakers from 200 Hz to 16 kHz, in dB: 0 is all of it. A figure, never a simulation.",
            ),
        };
        let records = found.and_then(|elsewhere| elsewhere.records_db);
        Row { face: pen::NOTE, ..Row::plain(label, figure, "dB", hint).with_records(records) }
    };
    Playback::ALL.into_iter().map(row).collect()
}

#[cfg(test)]
mod tests {
    use candlemark_session::chair::Knob;

    use super::*;

    fn level(over_meant_db: Option<f64>) -> AtChair {
        AtChair::Level(ChairLevel {
            knob: Knob::Quiet,
            now_dba: Some(63.2),
            averaged_dba: Some(64.0),
            plus_minus_db: 3.1,
            listened_s: 2460.0,
            niosh_day_share: 0.0021,
            who_week_share: 0.012,
            over_meant_db,
        })
    }

    #[test]
    fn a_level_says_how_good_it_is_and_by_which_mark() {
        assert_eq!(said(&level(Some(1.0))), "At your chair: ≈ 63 dBA, ± 3 · quiet mark; talking level");
        assert!(said(&level(Some(4.2))).ends_with("4 dB above what you meant: turn the knob down"));
        let shares = hover(&level(None));
        assert!(
            shares.contains("41 min at ≈ 64 dBA") && shares.contains("0.2 %") && shares.contains("1.2 %"),
            "{shares}"
        );
        assert!(shares.contains("no level is called safe"));
    }

    #[test]
    fn what_is_under_a_level_counts_its_lines_and_nothing_is_under_none() {
        assert_eq!([further_lines(&level(Some(1.0))), further_lines(&level(Some(4.2)))], [3, 4]);
        assert_eq!(further_lines(&AtChair::NoMark), 0);
    }

    #[test]
    fn what_is_not_known_says_how_to_know_it() {
        assert_eq!(
            said(&AtChair::NoMark),
            "At your chair: nothing yet, not known; mark your monitors to have it"
        );
        assert!(said(&AtChair::Unconfirmed(Knob::Loud)).contains("is the knob at “loud”?"));
        assert!(elsewhere(&[]).iter().all(|row| row.figure == text::UNDEFINED));
    }
}
