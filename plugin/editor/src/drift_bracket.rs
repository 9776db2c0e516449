//! Drift: a bracket over the bands that have come up or gone down since the ears were fresh, with its amount.

use candlemark_analysis::bands::NOMINAL_HZ;
use candlemark_session::drift::{Drifts, Moved};
use egui::{Rect, pos2, vec2};

use crate::band_scale::BandScale;
use crate::clear_place::ClearPlace;
use crate::pen::{self, Pen};
use crate::text;

/// A band has drifted from so much on (ours): less is what a person does all the time.
const DRIFTED_DB: f64 = 1.0;

const HEIGHT: f32 = 14.0;
/// What the bracket's ends reach down.
const TICK: f32 = 4.0;
/// Between the bracket and the marks under it.
const GAP: f32 = 7.0;

/// Bands in a row that have moved the same way, and by how much in the mean.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Bracket {
    /// The nominal frequency of the lowest and of the highest band.
    pub(crate) bands_hz: [f64; 2],
    pub(crate) amount_db: f64,
    pub(crate) since_rest: bool,
}

impl Bracket {
    /// The bands that have moved most: since the rest where that can be told, else since the start. `None` where nothing has.
    pub(crate) fn of(drifts: &Drifts) -> Option<Self> {
        match (&drifts.since_rest, &drifts.since_start) {
            (Some(moved), _) => Self::widest(moved, true),
            (None, Some(moved)) => Self::widest(moved, false),
            (None, None) => None,
        }
    }

    fn widest(moved: &Moved, since_rest: bool) -> Option<Self> {
        let mut best: Option<(f64, Self)> = None;
        let mut row: Vec<(f64, f64)> = Vec::new();
        let heard = NOMINAL_HZ.iter().zip(&moved.bands_db).map(|(hz, db)| (*hz, db.map_or(0.0, |db| db.0)));
        // One more that has not moved ends the last row.
        for (hz, db) in heard.chain([(0.0, 0.0)]) {
            let goes_on = row.last().is_some_and(|(_, before)| before.signum() == db.signum());
            if !goes_on || db.abs() < DRIFTED_DB {
                let sum: f64 = row.iter().map(|(_, db)| db).sum();
                let ends = row.first().zip(row.last());
                let is_more = best.as_ref().is_none_or(|(most, _)| sum.abs() > *most);
                if let Some(((low, _), (high, _))) = ends.filter(|_| is_more) {
                    let amount_db = sum / row.len() as f64;
                    best = Some((sum.abs(), Self { bands_hz: [*low, *high], amount_db, since_rest }));
                }
                row.clear();
            }
            if db.abs() >= DRIFTED_DB {
                row.push((hz, db));
            }
        }
        best.map(|(_, bracket)| bracket)
    }

    /// What it says.
    pub(crate) fn words(&self) -> String {
        let since = if self.since_rest { "since rest" } else { "since the start" };
        format!("{} dB {since}", text::with_sign(self.amount_db, 1))
    }

    /// Draws it over the marks of its bands, whose highest is at `top`, where its words are clear of all that stands there.
    pub(crate) fn draw(&self, pen: &Pen, scale: &BandScale, top: f32, clear: &mut ClearPlace) {
        let Some(column) = scale.column(self.bands_hz) else { return };
        let across = column.x_range().shrink(scale.pitch() * 0.2);
        let words = self.words();
        let width = pen.width(&words, pen::MARK) + 2.0;
        let y = (top - GAP).max(scale.plot.top() + HEIGHT + TICK);
        let half = width / 2.0;
        let middle = across.center().clamp(scale.plot.left() + half, scale.plot.right() - half);
        let place = Rect::from_center_size(pos2(middle, y - HEIGHT / 2.0 - 2.0), vec2(width, HEIGHT));
        pen.across(across.min..=across.max, y, 1.4, pen.colours.outside);
        for x in [across.min, across.max] {
            pen.down(x, y..=y + TICK, 1.4, pen.colours.outside);
        }
        pen.fill(place, pen.colours.background);
        pen.text_within(place, &words, pen::MARK, pen.colours.outside);
        clear.take(place);
    }
}

#[cfg(test)]
mod tests {
    use candlemark_analysis::Db;

    use super::*;

    fn moved(bands: &[(f64, f64)]) -> Moved {
        let of = |hz: &f64| bands.iter().find(|(band, _)| band == hz).map_or(0.0, |(_, db)| *db);
        let bands_db = NOMINAL_HZ.iter().map(|hz| Some(Db(of(hz)))).collect();
        Moved { bands_db, brighter_db: None, common_s: 60.0 }
    }

    #[test]
    fn the_bands_that_moved_most_are_told() {
        let lift = [(3150.0, 2.0), (4000.0, 2.2), (5000.0, 2.1), (63.0, -1.2)];
        let drifts = Drifts { since_rest: Some(moved(&lift)), since_start: Some(moved(&[])) };
        let bracket = Bracket::of(&drifts).unwrap();
        assert_eq!(bracket.bands_hz, [3150.0, 5000.0]);
        assert_eq!(bracket.words(), "+2.1 dB since rest");
        let drifts = Drifts { since_rest: None, since_start: Some(moved(&[(63.0, -1.2)])) };
        assert_eq!(Bracket::of(&drifts).unwrap().words(), "−1.2 dB since the start");
    }

    #[test]
    fn what_a_person_does_all_the_time_is_no_drift() {
        let drifts = Drifts { since_rest: Some(moved(&[(4000.0, 0.9)])), since_start: None };
        assert_eq!(Bracket::of(&drifts), None);
        assert_eq!(Bracket::of(&Drifts::default()), None);
    }

    #[test]
    fn up_and_down_side_by_side_are_two_rows() {
        let drifts = Drifts {
            since_rest: Some(moved(&[(4000.0, 1.5), (5000.0, -3.0), (6300.0, -1.0), (20_000.0, 1.1)])),
            since_start: None,
        };
        let bracket = Bracket::of(&drifts).unwrap();
        assert_eq!((bracket.bands_hz, bracket.amount_db), ([5000.0, 6300.0], -2.0));
    }
}
