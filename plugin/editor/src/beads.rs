//! Beads: the marks of the third octaves over a scale in dB, with their wires and rings.

use candlemark_session::drift::Drifted;
use candlemark_session::words::signed;
use egui::{Color32, Pos2, Rangef, Rect, Vec2, pos2, vec2};

use crate::band_scale::{BandScale, Off};
use crate::clear_place::ClearPlace;
use crate::drift_bracket;
use crate::pen::{self, Pen};
use crate::rings::Ring;

const MARK_HEIGHT: f32 = 13.0;
const THIN: f32 = 1.6;
/// The thick wire, as a share of a bead's radius, and the knots at its ends: beads slide on wires, past knots, and no area
/// is a target.
const THICK: f32 = 0.5;
const KNOT: f32 = 0.5;
/// A record's own place: how thick its dash is.
const DASH: f32 = 3.0;
/// How wide it is, as a share of what a band has: neighbours at one level stay two dashes.
const DASH_SHARE: f32 = 0.8;

/// Where the records lie in a band.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Records {
    /// There are none.
    None,
    /// The one there is.
    One(f64),
    /// The two there are: two places, from which nothing follows about what lies between.
    Two([f64; 2]),
    /// From the lowest to the highest of three or more.
    Reach([f64; 2]),
}

/// One band's mark.
pub(crate) struct Bead {
    /// Nominal frequency, in hertz.
    pub(crate) hz: f64,
    /// Where it lies on the scale.
    pub(crate) db: f64,
    pub(crate) records: Records,
    /// How far a record moves by itself, or the song where it is alone.
    pub(crate) moves_db: [f64; 2],
    /// It lies outside the records.
    pub(crate) outside: bool,
    /// What mono takes from it.
    pub(crate) ring: Option<Ring>,
    /// That is no more than records lose: its ring is pale.
    pub(crate) ring_is_ordinary: bool,
}

/// A bead with the places of its middle and of its ring's.
struct Placed<'a> {
    bead: &'a Bead,
    x: f32,
    y: f32,
    ring: Option<(Ring, f32)>,
}

impl Bead {
    fn colour(&self, pen: &Pen) -> Color32 {
        if self.outside { pen.colours.outside } else { pen.colours.ink }
    }

    fn ring_colour(&self, pen: &Pen) -> Color32 {
        if self.ring_is_ordinary { pen.colours.note } else { pen.colours.accent }
    }

    fn placed(&self, scale: &BandScale) -> Option<Placed<'_>> {
        let x = scale.x(self.hz)?;
        let ring = self.ring.map(|ring| (ring, ring.below_db(self.db)));
        // Where both lie below the scale, the ring stands under its bead there too.
        let both_below = ring.is_some() && scale.off(self.db) == Some(Off::Below);
        let y = scale.mark_y(self.db, usize::from(both_below));
        Some(Placed { bead: self, x, y, ring: ring.map(|(ring, db)| (ring, scale.mark_y(db, 0))) })
    }
}

/// Wires under stems under rings under beads, then the figures where they are clear of it all. `lit` are the columns that
/// stand out from the ground.
pub(crate) fn draw(pen: &Pen, scale: &BandScale, beads: &[Bead], drift: Option<&Drifted>, lit: &[Rect]) {
    let ground = |at: Pos2| {
        let is_lit = lit.iter().any(|column| column.x_range().contains(at.x));
        if is_lit { pen.colours.raised } else { pen.colours.background }
    };
    let radius = scale.radius();
    let mark = |centre: Pos2| Rect::from_center_size(centre, Vec2::splat(2.0 * radius));
    let placed: Vec<Placed<'_>> = beads.iter().filter_map(|bead| bead.placed(scale)).collect();
    let mut clear = ClearPlace::in_plot(scale.plot.expand2(vec2(0.0, 4.0)));
    for Placed { bead, x, .. } in &placed {
        draw_wires(pen, scale, *x, bead);
    }
    for Placed { bead, x, y, ring } in &placed {
        let Some((ring, below)) = *ring else { continue };
        let colour = bead.ring_colour(pen);
        let width = if bead.ring_is_ordinary { 1.3 } else { 2.0 };
        pen.down(*x, *y..=below, 0.9 * width, colour);
        clear.take_stem(Rect::from_x_y_ranges(*x - 1.0..=*x + 1.0, *y..=below));
        let at = pos2(*x, below);
        pen.filled_ring(at, radius - 0.5, width, [ground(at), colour]);
        if let Some(off) = scale.off(ring.below_db(bead.db)) {
            scale.draw_arrow(pen, *x, off, radius * 0.8, colour);
        }
        clear.take(mark(at));
    }
    for Placed { bead, x, y, ring } in &placed {
        let at = pos2(*x, *y);
        clear.take(mark(at));
        if bead.outside {
            pen.square(at, radius, bead.colour(pen));
        } else {
            pen.disc(at, radius, bead.colour(pen));
        }
        let off = scale.off(bead.db).filter(|off| ring.is_none() || *off == Off::Above);
        if let Some(off) = off {
            scale.draw_arrow(pen, *x, off, radius * 0.8, bead.colour(pen));
        }
    }
    if let Some(drifted) = drift {
        let [low, high] = drifted.bands_hz;
        let under = placed.iter().filter(|placed| (low..=high).contains(&placed.bead.hz));
        let top = under.map(|placed| placed.y - radius).fold(scale.plot.bottom(), f32::min);
        drift_bracket::draw(drifted, pen, scale, top, &mut clear);
    }
    let width = |figure: &str| pen.width(figure, pen::MARK) + 2.0;
    for Placed { bead, x, y, .. } in &placed {
        if scale.off(bead.db).is_some() {
            let figure = signed(bead.db, 0);
            if let Some(place) = clear.beside(pos2(*x, *y), radius, width(&figure), MARK_HEIGHT) {
                write_in(pen, place, ground, &figure, bead.colour(pen));
            }
        }
    }
    let ring = |placed: &Placed| {
        let (ring, below) = placed.ring?;
        Some((placed.x, ring, below, placed.bead.ring_colour(pen)))
    };
    let mut rings: Vec<(f32, Ring, f32, Color32)> = placed.iter().filter_map(ring).collect();
    // Where there is no room for all, the worst keep theirs; the pointer has the others.
    rings.sort_by(|(_, one, ..), (_, other, ..)| one.fold_db().total_cmp(&other.fold_db()));
    for (x, ring, below, colour) in rings {
        let figure = ring.figure();
        if let Some(place) = clear.nearby(pos2(x, below), radius, width(&figure), MARK_HEIGHT) {
            write_in(pen, place, ground, &figure, colour);
        }
    }
}

/// The thin wire, and on it where the records lie. What goes on beyond the scale ends in an arrow.
fn draw_wires(pen: &Pen, scale: &BandScale, x: f32, bead: &Bead) {
    let colour = pen.colours.wire;
    let radius = scale.radius();
    let [low, high] = bead.moves_db;
    pen.down(x, scale.y(high)..=scale.y(low), THIN, colour);
    let theirs: &[f64] = match &bead.records {
        Records::None => &[],
        Records::One(db) => std::slice::from_ref(db),
        Records::Two(places) | Records::Reach(places) => places,
    };
    let shown = theirs.iter().filter(|db| scale.off(**db).is_none()).map(|db| scale.y(*db));
    if let Records::Reach([low, high]) = bead.records {
        if scale.off(low).is_none_or(|off| scale.off(high) != Some(off)) {
            let ends = Rangef::new(scale.y(high) - 3.0, scale.y(low) + 3.0);
            pen.rod(x, scale.plot.y_range().intersection(ends), radius * THICK, colour);
        }
        shown.for_each(|y| pen.disc(pos2(x, y), radius * KNOT, colour));
    } else {
        let half = DASH_SHARE * scale.pitch() / 2.0;
        shown.for_each(|y| pen.across(x - half..=x + half, y, DASH, colour));
    }
    for edge in [Off::Above, Off::Below] {
        if [low, high].iter().chain(theirs).any(|db| scale.off(*db) == Some(edge)) {
            scale.draw_arrow(pen, x, edge, radius * 0.6, colour);
        }
    }
}

/// Where a figure must stand on a line, the line makes way for it.
fn write_in(pen: &Pen, place: Rect, ground: impl Fn(Pos2) -> Color32, figure: &str, colour: Color32) {
    pen.fill(place.shrink(1.0), ground(place.center()));
    pen.text_within(place, figure, pen::MARK, colour);
}
