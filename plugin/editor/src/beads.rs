//! Beads: the marks of the third octaves over a scale in dB, with their wires and rings.

use candlemark_session::figures::BandFigures;
use egui::{Align, Rangef, Rect, Stroke, pos2, vec2};

use crate::clear_place::ClearPlace;
use crate::palette::{ACCENT, BACKGROUND, GRID, INK, NOTE, OUTSIDE, WIRE};
use crate::pen::{self, Pen};
use crate::rings::Ring;
use crate::text;

/// The bands shown: third octaves from 25 Hz to 16 kHz.
const SHOWN: std::ops::RangeInclusive<usize> = 1..=29;
/// Every octave is named, from this band on.
const FIRST_NAMED: usize = 2;
const MARK_HEIGHT: f32 = 13.0;

/// Where the bands and the decibels lie.
pub(crate) struct Scale {
    pub(crate) plot: Rect,
    /// The lowest and the highest level of the scale, in dB.
    pub(crate) db: Rangef,
}

/// One band's mark.
pub(crate) struct Bead {
    /// Nominal frequency, in hertz.
    pub(crate) hz: f64,
    /// Where it lies on the scale.
    pub(crate) db: f64,
    /// From the lowest to the highest record, where there are records.
    pub(crate) wire_db: Option<[f64; 2]>,
    /// It lies outside the records.
    pub(crate) outside: bool,
    /// What mono takes from it.
    pub(crate) ring: Option<Ring>,
}

impl Bead {
    /// The ring of the band with this nominal frequency.
    pub(crate) fn ring_of(bands: &[BandFigures], hz: f64) -> Option<Ring> {
        bands.iter().find(|band| band.nominal.0 == hz).and_then(Ring::of)
    }
}

impl Scale {
    fn pitch(&self) -> f32 {
        self.plot.width() / SHOWN.count() as f32
    }

    /// Middle of a band by its nominal frequency. `None` when it is not shown.
    fn x(&self, hz: f64) -> Option<f32> {
        let index = candlemark_analysis::bands::NOMINAL_HZ.iter().position(|nominal| *nominal == hz)?;
        SHOWN.contains(&index).then(|| self.middle(index))
    }

    fn middle(&self, index: usize) -> f32 {
        self.plot.left() + self.pitch() * ((index - SHOWN.start()) as f32 + 0.5)
    }

    /// Height of a level, at the scale's edge when it lies beyond.
    pub(crate) fn y(&self, db: f64) -> f32 {
        let db = (db as f32).clamp(self.db.min, self.db.max);
        egui::remap(db, self.db, Rangef::new(self.plot.bottom(), self.plot.top()))
    }

    fn off(&self, db: f64) -> bool {
        !self.db.contains(db as f32)
    }

    /// The upright lines and the names of the octaves.
    pub(crate) fn draw_bands(&self, pen: &Pen) {
        for index in SHOWN {
            let x = self.middle(index);
            pen.down(x, self.plot.y_range(), 1.0, GRID);
            if (index + 3 - FIRST_NAMED).is_multiple_of(3) {
                let name = text::short_frequency(candlemark_analysis::bands::NOMINAL_HZ[index]);
                pen.text(pos2(x, self.plot.bottom() + 20.0), Align::Center, &name, pen::NOTE, NOTE);
            }
        }
    }

    /// A level's line and its name on the right.
    pub(crate) fn draw_level(&self, pen: &Pen, db: f64, name: &str, width: f32, colour: egui::Color32) {
        let y = self.y(db);
        pen.across(self.plot.x_range(), y, width, colour);
        pen.text(pos2(self.plot.right() + 6.0, y + 4.0), Align::Min, name, pen::NOTE, NOTE);
    }

    /// Wires under stems under rings under beads, then the figures where they are clear of it all.
    pub(crate) fn draw_beads(&self, pen: &Pen, beads: &[Bead]) {
        let radius = (self.pitch() * 0.36).min(6.5);
        let placed: Vec<(&Bead, f32, f32)> =
            beads.iter().filter_map(|bead| Some((bead, self.x(bead.hz)?, self.y(bead.db)))).collect();
        let mut clear = ClearPlace::in_plot(self.plot.expand2(vec2(0.0, 4.0)));
        for (bead, x, _) in &placed {
            if let Some([low, high]) = bead.wire_db {
                pen.rod(*x, Rangef::new(self.y(high) - 3.0, self.y(low) + 3.0), radius * 0.92, WIRE);
            }
        }
        for (bead, x, y) in &placed {
            let Some(ring) = bead.ring else { continue };
            let below = self.y(ring.below_db(bead.db));
            pen.down(*x, *y..=below, 1.8, ACCENT);
            pen.painter.circle(pos2(*x, below), radius - 0.5, BACKGROUND, Stroke::new(2.0, ACCENT));
            clear.take(Rect::from_center_size(pos2(*x, below), vec2(radius, radius) * 2.0));
        }
        for (bead, x, y) in &placed {
            let place = Rect::from_center_size(pos2(*x, *y), vec2(radius, radius) * 2.0);
            clear.take(place);
            if bead.outside {
                pen.painter.rect_filled(place, 0.0, OUTSIDE);
            } else {
                pen.painter.circle_filled(place.center(), radius, INK);
            }
        }
        for (bead, x, y) in &placed {
            if self.off(bead.db) {
                let colour = if bead.outside { OUTSIDE } else { INK };
                write_beside(pen, &mut clear, (*x, *y, radius), &text::with_sign(bead.db, 0), colour);
            }
        }
        for (bead, x, _) in &placed {
            if let Some(ring) = bead.ring {
                let below = self.y(ring.below_db(bead.db));
                write_beside(pen, &mut clear, (*x, below, radius), &ring.figure(), ACCENT);
            }
        }
    }
}

fn write_beside(
    pen: &Pen,
    clear: &mut ClearPlace,
    (x, y, radius): (f32, f32, f32),
    figure: &str,
    colour: egui::Color32,
) {
    let width = pen.width(figure, pen::MARK) + 2.0;
    if let Some(place) = clear.beside(pos2(x, y), radius, width, MARK_HEIGHT) {
        // Where it must stand on a line, the line makes way for it.
        pen.painter.rect_filled(place.shrink(1.0), 0.0, BACKGROUND);
        pen.text_within(place, figure, pen::MARK, colour);
    }
}
