//! The session that made the song: its time, its rests, and how it was listened to.

use candlemark_session::chair::AtChair;
use candlemark_session::remarks::Stage;
use candlemark_session::words::number;
use maud::{Markup, html};

use super::date::date;
use super::settings::yardstick;
use super::{SongSheet, named};

/// A length as people say it, which no line breaks.
fn hours(seconds: f64) -> String {
    let minutes = (seconds / 60.0).floor() as u64;
    match (minutes / 60, minutes % 60) {
        (0, minutes) => format!("{minutes}\u{a0}min"),
        (hours, minutes) => format!("{hours}\u{a0}h\u{a0}{minutes:02}\u{a0}min"),
    }
}

/// Time and rests.
pub(super) fn part(sheet: &SongSheet<'_>) -> Markup {
    let candle = sheet.view.candle;
    let times = candle.times();
    html! {
        section {
            h3 { "The session" }
            table .told {
                (line("worked", &format!("{} of {}", hours(candle.burnt_s()), hours(candle.budget_s()))))
                (line("rests taken", &sheet.rests.to_string()))
                (line("since the last rest", &hours(candle.worked_s())))
                (line("a rest is due after", &hours(times.rest_every_s)))
                (line("passes without looking", &sheet.view.listens.len().to_string()))
                (line("at the chair", &at_chair(sheet.view.at_chair)))
            }
        }
    }
}

fn line(what: &str, told: &str) -> Markup {
    html! { tr { th scope="row" { (what) } td { (told) } } }
}

fn at_chair(at_chair: AtChair) -> String {
    match at_chair {
        AtChair::Level(level) => level.averaged_dba.map_or_else(
            || "not known".to_owned(),
            |dba| {
                let (dba, off) = (number(dba, 0), number(level.plus_minus_db, 0));
                format!("≈ {dba} dBA ± {off}, this session only")
            },
        ),
        AtChair::Headphones => "headphones: not known".to_owned(),
        AtChair::NoMark | AtChair::Unconfirmed(_) => "not known".to_owned(),
    }
}

/// What the sheet was made of and with.
pub(super) fn settings(sheet: &SongSheet<'_>) -> Markup {
    let view = sheet.view;
    html! {
        section {
            h3 { "This sheet" }
            dl {
                dt { "song" } dd { (named(sheet.name())) }
                dt { "made" } dd { (date(sheet.made_unix_s)) }
                dt { "stage" } dd { (match view.stage { Stage::Mixing => "mixing", Stage::Printing => "printing" }) }
                (yardstick(view.comparison.as_ref()))
            }
            p .note {
                "A print has a head, a tail and a SHA-256; the song in the window has none of them, nor is it held against a \
                 delivery. " code { "candlemark measure FILE --sheet OUT.html" } " makes the sheet of the finished file."
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_are_said_as_people_say_them() {
        let said = [59.0, 2700.0, 7260.0].map(|seconds| hours(seconds).replace('\u{a0}', " "));
        assert_eq!(said, ["0 min", "45 min", "2 h 01 min"]);
    }
}
