//! The level at the chair, and what is left of the song elsewhere: the two groups under mono.

use candlemark_session::chair::{AtChair, ChairLevel};
use candlemark_session::elsewhere::{Elsewhere, Playback};
use candlemark_session::words::number;
use egui::{Align, Button, Id, Rect, Role, Ui, WidgetInfo, pos2};

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
    /// Under it, from long to short.
    under: Vec<String>,
    /// It is louder than was meant.
    above: bool,
}

fn lines(at_chair: &AtChair) -> Lines {
    let nothing = |beside: &str, under: &[&str]| Lines {
        figure: text::UNDEFINED.into(),
        beside: beside.into(),
        under: under.iter().map(|&words| words.to_owned()).collect(),
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
            let figure = match level.now_dba {
                Some(dba) => format!("≈ {} dBA", number(dba, 0)),
                None => text::UNDEFINED.into(),
            };
            let beside = format!("± {} · {} mark", number(level.plus_minus_db, 0), level.knob.name());
            let over = level.over_meant_db.filter(|db| *db >= ABOVE_DB);
            let under = match over {
                Some(db) => vec![format!("{} dB above what you meant", number(db, 0))],
                None => vec![level.words().to_owned()],
            };
            Lines { figure, beside, under, above: over.is_some() }
        }
    }
}

/// In a sentence.
fn said(at_chair: &AtChair) -> String {
    let Lines { figure, beside, under, .. } = lines(at_chair);
    let figure = if figure == text::UNDEFINED { "nothing yet".into() } else { figure };
    format!("At your chair: {figure}, {beside}; {}", under[0])
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
    let percent = |share: f64| number(100.0 * share, usize::from(share < 0.1));
    format!(
        "This session only, since the mark was confirmed: {}{average}. Of NIOSH’s recommended limit for a day that is \
         {} %, of WHO and ITU’s for a week {} %. The rest of your day is not counted, and no level is called safe: local \
         rules and a hearing professional come first.",
        text::hours(listened_s),
        percent(niosh_day_share),
        percent(who_week_share),
    )
}

/// The level, with a line of words under it, in a place two rows high.
/// Gives where to answer what it asks.
pub(crate) fn draw_chair(ui: &Ui, kit: Kit, place: Rect, at_chair: &AtChair) -> Option<Rect> {
    let (pen, colours) = (kit.pen(ui), kit.colours);
    let Lines { figure, beside, under, above } = lines(at_chair);
    let baseline = place.top() + place.height() * 0.25 + 6.0;
    let colour = if above { colours.accent } else { colours.ink };
    pen.text(pos2(place.left(), baseline), Align::Min, &figure, pen::FIGURE, colour);
    pen.text(pos2(place.right(), baseline), Align::Max, &beside, pen::NOTE, colours.note);
    let second = pos2(place.left(), place.top() + place.height() * 0.75 + 3.0);
    if let Some(words) = pen.first_that_fits(&under, pen::LABEL, place.width()) {
        pen.text(second, Align::Min, words, pen::LABEL, if above { colours.accent } else { colours.note });
    }
    kit.label(ui, place, Id::unique("at your chair"), &said(at_chair)).on_hover_text(hover(at_chair));
    let answer = place.split_top_bottom_at_fraction(0.5).1;
    matches!(at_chair, AtChair::Unconfirmed(_)).then(|| answer.with_min_x(place.right() - ANSWER))
}

/// The button that says that the knob is where it is marked. Gives whether it was pressed.
pub(crate) fn confirm(ui: &mut Ui, kit: Kit, place: Rect) -> bool {
    let response = ui.put(kit.in_window(place), Button::new("it is"));
    let response = response.on_hover_text("The level counts from now on, for this session");
    response
        .widget_info(|| WidgetInfo::labeled(Role::Button, true, "The monitor knob is where it is marked"));
    response.clicked()
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
        let records = found.and_then(|elsewhere| elsewhere.records_db).map(|[low, high]| [high, low]);
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
        assert!(said(&level(Some(4.2))).ends_with("4 dB above what you meant"));
        let shares = hover(&level(None));
        assert!(
            shares.contains("41 min at ≈ 64 dBA") && shares.contains("0.2 %") && shares.contains("1.2 %"),
            "{shares}"
        );
        assert!(shares.contains("no level is called safe"));
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
