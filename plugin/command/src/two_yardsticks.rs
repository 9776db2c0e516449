//! `candlemark yardstick show NAME --against OTHER`.

use std::fmt::Write as _;

use candlemark_session::comparison::CurvePoint;
use candlemark_session::two_yardsticks::{BandOfTwo, MiddleFigures, TwoYardsticks};
use candlemark_session::words::{hertz, number, records, shown, signed};
use candlemark_session::yardstick::Yardstick;
use serde::Serialize;

use crate::json;
use crate::pages::or_nothing;

/// For people. The first is the one that was asked for.
pub(crate) fn page(yardsticks: [&Yardstick; 2]) -> String {
    let two = TwoYardsticks::new(yardsticks[0], yardsticks[1]);
    let [one, other] = yardsticks
        .map(|yardstick| format!("\"{}\", {}", shown(&yardstick.name), records(yardstick.records.len())));
    let mut page = format!("{one}\nagainst {other}\n\n");
    let _ = match two.distance_db {
        Some(db) => writeln!(
            page,
            "  their middles lie {} dB apart on average (rms over third octaves)",
            number(db, 1)
        ),
        None => writeln!(page, "  they have no band in common"),
    };
    let _ = writeln!(page, "\n  middle (lowest to highest) of each one's records, the one asked for first");
    let figures = two.figures.each_ref().map(rows);
    for ((name, unit, one), (.., other)) in figures[0].iter().zip(&figures[1]) {
        let [one, other] = [one, other].map(|reach| cell(*reach));
        let _ = writeln!(page, "  {name:<13}{one:>26}{other:>26}  {unit}");
    }
    if two.bands.is_empty() {
        return page.trim_end().to_owned();
    }
    page.push_str("\n  each third octave, dB relative to the loudness of the same 3 s; in the last column, how far\n  the middle of the first lies above the other's\n");
    let _ = writeln!(page, "{:>11}{:>28}{:>26}{:>9}", "Hz", "first", "other", "above");
    for band in &two.bands {
        let [one, other] =
            band.curves.map(|CurvePoint { low_db, middle_db, high_db, .. }| [low_db, middle_db, high_db]);
        let [one, other] = [one, other].map(|reach| cell(Some(reach)));
        let above = signed(band.above_db(), 1);
        let _ = writeln!(page, "{:>11}{one:>28}{other:>26}{above:>9}", hertz(band.nominal.0));
    }
    page.trim_end().to_owned()
}

/// A middle, with where the records lie beside it; a dash where no record has the figure.
fn cell(reach: Option<[f64; 3]>) -> String {
    or_nothing(reach.map(|reach| {
        let [low, middle, high] = reach.map(|figure| number(figure, 1));
        format!("{middle} ({low} to {high})")
    }))
}

fn rows(figures: &MiddleFigures) -> [(&'static str, &'static str, Option<[f64; 3]>); 6] {
    [
        ("loudness", "LUFS", figures.integrated_lufs),
        ("range", "LU", figures.range_lu),
        ("loud parts", "dB (PSR)", figures.psr_loud_db),
        ("whole", "dB (PLR)", figures.plr_db),
        ("crest factor", "dB", figures.crest_db),
        ("mono fold", "dB", figures.fold_db),
    ]
}

/// For programs.
pub(crate) fn json(yardsticks: [&Yardstick; 2]) -> String {
    let two = TwoYardsticks::new(yardsticks[0], yardsticks[1]);
    let side = |index: usize| Side {
        name: yardsticks[index].name.clone(),
        records: yardsticks[index].records.len(),
        figures: two.figures[index],
    };
    json::text(&Told {
        yardstick: side(0),
        against: side(1),
        distance_db: two.distance_db,
        bands: two.bands.iter().map(Band::of).collect(),
    })
}

/// `yardstick show NAME --against OTHER --json`.
#[derive(Serialize)]
struct Told {
    yardstick: Side,
    against: Side,
    distance_db: Option<f64>,
    bands: Vec<Band>,
}

#[derive(Serialize)]
struct Side {
    name: String,
    records: usize,
    /// Of each its lowest, middle and highest.
    figures: MiddleFigures,
}

#[derive(Serialize)]
struct Band {
    hz: f64,
    above_db: f64,
    yardstick: CurvePoint,
    against: CurvePoint,
}

impl Band {
    fn of(band: &BandOfTwo) -> Self {
        let [yardstick, against] = band.curves;
        Self { hz: band.nominal.0, above_db: band.above_db(), yardstick, against }
    }
}
