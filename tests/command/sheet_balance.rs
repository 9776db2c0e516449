//! The balance on a print sheet: what is drawn is what was measured, and as the window draws it.

use std::path::PathBuf;

use candlemark_tests::command::{Home, figure};
use candlemark_tests::sound::Sound;
use scraper::ElementRef;
use serde_json::Value;

use crate::files::{noise, take, wav};
use crate::sheets::{all, hold, parsed, texts};

/// Noise that is brighter or duller: y[n] = x[n] + k·(x[n] − x[n−1]).
fn tilted(k: f32) -> Sound {
    noise(40.0).by_side(|plane| {
        let before = std::iter::once(&0.0).chain(plane);
        plane.iter().zip(before).map(|(x, before)| 0.3 * (x + k * (x - before))).collect()
    })
}

/// A song beside records of these tilts, and its sheet: its yardstick as `--json` tells it, and the page.
fn beside(records: &[f32]) -> (Home, Value, PathBuf) {
    let home = Home::new();
    let record = |(n, k): (usize, &f32)| wav(home.folder(), &format!("record {n}.wav"), &tilted(*k));
    take(&home, "mine", records.iter().enumerate().map(record));
    let song = wav(home.folder(), "song.wav", &tilted(1.6));
    let sheet = home.folder().join("sheet.html");
    let arguments = ["measure", "--json", "--yardstick", "mine", "--sheet"].map(PathBuf::from);
    let run = home.run(arguments.into_iter().chain([sheet.clone(), song])).well();
    let yardstick = run.files()[0]["yardstick"].clone();
    (home, yardstick, sheet)
}

fn number(element: &ElementRef<'_>, name: &str) -> f64 {
    let value = element.value().attr(name).unwrap_or_else(|| panic!("{name} of {}", element.html()));
    value.parse().unwrap_or_else(|error| panic!("{name}={value}: {error}"))
}

/// The window's knots and wires: `tests/pictures/beads.rs` holds it to the same.
#[test]
fn knots_stand_at_the_outermost_records_and_a_wire_joins_them() {
    let (_home, yardstick, sheet) = beside(&[0.0, 0.4, 1.0]);
    let html = parsed(&sheet);
    hold(&html);
    // The scale's lines with the levels that stand at their ends.
    let lines =
        all(&html, "svg[aria-labelledby^=balance] line.grid, svg[aria-labelledby^=balance] line.zero");
    let heights: Vec<f64> = lines.iter().map(|line| number(line, "y1")).collect();
    let levels = texts(&html, "svg[aria-labelledby^=balance] line + text");
    let level = |text: &String| text.replace('−', "-").parse::<f64>().unwrap();
    let [top_db, bottom_db] = [level(&levels[0]), level(&levels[heights.len() - 1])];
    let [top, bottom] = [heights[0], heights[heights.len() - 1]];
    let y = |db: f64| top + (bottom - top) * ((top_db - db) / (top_db - bottom_db)).clamp(0.0, 1.0);

    let knots: Vec<f64> = all(&html, "circle.knot").iter().map(|knot| number(knot, "cy")).collect();
    let radius = number(&all(&html, "circle.knot")[0], "r");
    let wires = all(&html, "line.between");
    let bands = yardstick["bands"].as_array().unwrap();
    assert_eq!([knots.len(), wires.len()], [2 * bands.len(), bands.len()]);
    for ((band, knots), wire) in bands.iter().zip(knots.chunks(2)).zip(&wires) {
        let ends = [y(figure(band, "low_db")), y(figure(band, "high_db"))];
        for (drawn, at) in [(knots[0], ends[0]), (knots[1], ends[1])] {
            assert!((drawn - at).abs() < 0.01, "{band}: a knot at {drawn}, its record at {at}");
        }
        assert_eq!([number(wire, "y1"), number(wire, "y2")], [knots[0], knots[1]], "{band}");
        assert!(number(wire, "stroke-width") < 2.0 * radius, "the knots are thicker than the wire");
    }
    assert!(texts(&html, ".note").iter().any(|note| note.contains("between knots: where the records lie")));
}

#[test]
fn two_records_are_dashes_without_knots() {
    let (_home, yardstick, sheet) = beside(&[0.0, 0.4]);
    let html = parsed(&sheet);
    let bands = yardstick["bands"].as_array().unwrap().len();
    assert_eq!([all(&html, "circle.knot").len(), all(&html, "line.between").len()], [0, 2 * bands]);
    assert!(all(&html, "line.between").iter().all(|dash| number(dash, "y1") == number(dash, "y2")));
}
