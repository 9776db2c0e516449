//! Bands and decibels as places, and where a mark stands that lies off the scale.

use candlemark_analysis::bands::NOMINAL_HZ;
use candlemark_session::words::hertz;
use egui::{Align, Color32, Pos2, Rangef, Rect, pos2};

use crate::pen::{self, Pen};

/// The bands shown: third octaves from 25 Hz to 16 kHz.
const SHOWN: std::ops::RangeInclusive<usize> = 1..=29;
/// Every octave is named, from this band on.
const FIRST_NAMED: usize = 2;
/// Height of the arrow between the edge and a mark that lies beyond it.
const ARROW: f32 = 6.0;

/// Where the bands and the decibels lie.
pub(crate) struct BandScale {
    pub(crate) plot: Rect,
    /// The lowest and the highest level of the scale, in dB.
    pub(crate) db: Rangef,
}

/// On which side of the scale a level lies that it does not hold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Off {
    Above,
    Below,
}

impl BandScale {
    /// From one band to the next, in points.
    pub(crate) fn pitch(&self) -> f32 {
        self.plot.width() / SHOWN.count() as f32
    }

    /// Radius of a mark, in points.
    pub(crate) fn radius(&self) -> f32 {
        (self.pitch() * 0.36).min(6.5)
    }

    /// Middle of a band by its nominal frequency. `None` when it is not shown.
    pub(crate) fn x(&self, hz: f64) -> Option<f32> {
        let index = NOMINAL_HZ.iter().position(|nominal| *nominal == hz)?;
        SHOWN.contains(&index).then(|| self.middle(index))
    }

    /// The band at a place, by its nominal frequency in hertz.
    pub(crate) fn band_at(&self, at: Pos2) -> Option<f64> {
        if !self.plot.contains(at) {
            return None;
        }
        let step = ((at.x - self.plot.left()) / self.pitch()).max(0.0) as usize;
        let index = (SHOWN.start() + step).min(*SHOWN.end());
        NOMINAL_HZ.get(index).copied()
    }

    /// The column of the bands from one nominal frequency to another. `None` when none of them is shown.
    pub(crate) fn column(&self, [low_hz, high_hz]: [f64; 2]) -> Option<Rect> {
        let mut shown = SHOWN.filter(|index| (low_hz..=high_hz).contains(&NOMINAL_HZ[*index]));
        let half = self.pitch() / 2.0;
        let first = shown.next()?;
        let last = shown.next_back().unwrap_or(first);
        let across = self.middle(first) - half..=self.middle(last) + half;
        Some(Rect::from_x_y_ranges(across, self.plot.y_range()))
    }

    fn middle(&self, index: usize) -> f32 {
        self.plot.left() + self.pitch() * ((index - SHOWN.start()) as f32 + 0.5)
    }

    /// Height of a level, at the scale's edge when it lies beyond.
    pub(crate) fn y(&self, db: f64) -> f32 {
        let db = (db as f32).clamp(self.db.min, self.db.max);
        egui::remap(db, self.db, Rangef::new(self.plot.bottom(), self.plot.top()))
    }

    /// Where a level lies that the scale does not hold. `None` when it does.
    pub(crate) fn off(&self, db: f64) -> Option<Off> {
        if db > self.db.max.into() {
            Some(Off::Above)
        } else if db < self.db.min.into() {
            Some(Off::Below)
        } else {
            None
        }
    }

    /// Height of the middle of a mark. Off the scale it stands inside the edge with an arrow between, so many marks
    /// further in as stand there already.
    pub(crate) fn mark_y(&self, db: f64, marks_before: usize) -> f32 {
        let inside = ARROW + self.radius() + marks_before as f32 * (2.0 * self.radius() + 1.0);
        match self.off(db) {
            None => self.y(db),
            Some(Off::Above) => self.plot.top() + inside,
            Some(Off::Below) => self.plot.bottom() - inside,
        }
    }

    /// The arrow to the edge beyond which something lies.
    pub(crate) fn draw_arrow(&self, pen: &Pen, x: f32, off: Off, half_width: f32, colour: Color32) {
        let (tip, base) = match off {
            Off::Above => (self.plot.top(), self.plot.top() + ARROW),
            Off::Below => (self.plot.bottom(), self.plot.bottom() - ARROW),
        };
        let mut corners = vec![pos2(x, tip), pos2(x + half_width, base), pos2(x - half_width, base)];
        if off == Off::Below {
            corners.reverse();
        }
        pen.polygon(corners, colour);
    }

    /// The upright lines and the names of the octaves.
    pub(crate) fn draw_bands(&self, pen: &Pen) {
        for index in SHOWN {
            let x = self.middle(index);
            pen.down(x, self.plot.y_range(), 1.0, pen.colours.grid);
            if (index + 3 - FIRST_NAMED).is_multiple_of(3) {
                let name = hertz(NOMINAL_HZ[index].floor());
                let at = pos2(x, self.plot.bottom() + 20.0);
                pen.text(at, Align::Center, &name, pen::NOTE, pen.colours.note);
            }
        }
    }

    /// A level's line and its name on the right.
    pub(crate) fn draw_level(&self, pen: &Pen, db: f64, name: &str, width: f32, colour: Color32) {
        let y = self.y(db);
        pen.across(self.plot.x_range(), y, width, colour);
        pen.text(pos2(self.plot.right() + 6.0, y + 4.0), Align::Min, name, pen::NOTE, pen.colours.note);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn scale() -> BandScale {
        let plot = Rect::from_min_max(pos2(100.0, 50.0), pos2(680.0, 230.0));
        BandScale { plot, db: Rangef::new(-9.0, 9.0) }
    }

    #[test]
    fn every_shown_band_is_found_where_it_lies() {
        let scale = scale();
        for hz in &NOMINAL_HZ[SHOWN] {
            let x = scale.x(*hz).unwrap();
            assert_eq!(scale.band_at(pos2(x, 100.0)), Some(*hz));
            let column = scale.column([*hz, *hz]).unwrap();
            assert!((column.center().x - x).abs() < 1e-3);
        }
        assert_eq!(scale.x(20.0), None);
        assert_eq!(scale.band_at(pos2(300.0, 240.0)), None);
        assert_eq!(scale.column([19.0, 21.0]), None);
    }

    #[test]
    fn the_edges_belong_to_the_scale_and_what_lies_beyond_stands_inside_them() {
        let scale = scale();
        assert_eq!([scale.off(9.0), scale.off(-9.0)], [None, None]);
        assert_eq!(scale.off(9.1), Some(Off::Above));
        assert_eq!(scale.off(f64::NEG_INFINITY), Some(Off::Below));
        let (first, second) = (scale.mark_y(-20.0, 0), scale.mark_y(-20.0, 1));
        assert!(first + scale.radius() <= scale.plot.bottom() - ARROW);
        assert!(first - second > 2.0 * scale.radius(), "marks do not cover each other");
    }
}
