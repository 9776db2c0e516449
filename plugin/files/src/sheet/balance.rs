//! The balance on a sheet: beads beside the records' wires, or the song alone.

use candlemark_session::comparison::{BandComparison, Comparison};
use candlemark_session::drift::{Drifted, Drifts};
use candlemark_session::figures::{BandFigures, SongFigures};
use candlemark_session::words::{bands, hertz, number, records, signed};
use maud::{Markup, html};

use super::named;

const WIDTH: f64 = 1000.0;
const LEFT: f64 = 8.0;
const RIGHT: f64 = 950.0;
const TOP: f64 = 22.0;
const BOTTOM: f64 = 342.0;
const HEIGHT: f64 = 376.0;
/// Where figures stand of what lies beyond the scale, and under them the bands' names.
const OVER: f64 = TOP - 7.0;
const UNDER: f64 = BOTTOM + 14.0;
const NAMES: f64 = BOTTOM + 30.0;
/// Height of an arrow between the edge and a mark that lies beyond it.
const ARROW: f64 = 6.0;
/// Radius of a bead, of a knot that it can't slide past, and the width of the wire between two knots: as in the window.
const RADIUS: f64 = 6.5;
const KNOT: f64 = 0.5 * RADIUS;
const BETWEEN: f64 = 0.5 * RADIUS;
/// Half of a record's own dash, and how thick it is.
const HALF_DASH: f64 = 10.0;
const DASH: f64 = 3.0;
/// The least and the most that the scale reaches up and down beside records, in dB.
const LEAST_DB: f64 = 9.0;
const MOST_DB: f64 = 24.0;

/// One band's marks, in dB on the scale.
struct Bead {
    hz: f64,
    db: f64,
    /// The lowest and the highest of the records.
    records_db: Option<[f64; 2]>,
    /// How far one moves by itself, or the song where it is alone.
    moves_db: Option<[f64; 2]>,
    outside: bool,
    /// What mono takes, where it takes more than it may; −∞ is lost.
    fold_db: Option<f64>,
}

/// What mono takes of a band, where it takes more than the records lose, or than is ordinary.
pub(super) fn taken_by_mono(band: &BandFigures, comparison: Option<&Comparison>) -> Option<f64> {
    let kept = band.fold.kept?;
    let fold_db = if kept > 0.0 { 10.0 * kept.log10() } else { f64::NEG_INFINITY };
    let beside = comparison.and_then(|c| c.bands.iter().find(|beside| beside.nominal == band.nominal));
    let limit_db = beside.and_then(BandComparison::falls_below_db).unwrap_or_else(|| band.falls_below_db());
    (fold_db < limit_db).then_some(fold_db)
}

fn beads(song: &SongFigures, comparison: Option<&Comparison>) -> Vec<Bead> {
    let of = |band: &BandFigures| {
        let fold_db = taken_by_mono(band, comparison);
        let Some(comparison) = comparison else {
            let spread = band.relative?;
            let moves_db = Some([spread.low_db, spread.high_db]);
            return Some(Bead {
                hz: band.nominal.0,
                db: spread.median_db,
                records_db: None,
                moves_db,
                outside: false,
                fold_db,
            });
        };
        let beside = comparison.bands.iter().find(|beside| beside.nominal == band.nominal)?;
        Some(Bead {
            hz: band.nominal.0,
            db: beside.off_db,
            records_db: Some([beside.low_db, beside.high_db]),
            moves_db: Some([beside.within_low_db, beside.within_high_db]),
            outside: beside.outside,
            fold_db,
        })
    };
    song.bands.iter().filter_map(of).collect()
}

/// Where things lie.
struct Scale {
    count: usize,
    low_db: f64,
    high_db: f64,
    step_db: f64,
}

impl Scale {
    fn of(beads: &[Bead], beside: bool) -> Self {
        let marks = || beads.iter().map(|bead| bead.db);
        if beside {
            let reach = marks().fold(LEAST_DB, |reach, db| reach.max(db.abs() + 1.0)).min(MOST_DB);
            let reach = (reach / 3.0).ceil() * 3.0;
            return Self { count: beads.len(), low_db: -reach, high_db: reach, step_db: 3.0 };
        }
        let (low, high) = marks().fold((0.0f64, -60.0f64), |(low, high), db| (low.min(db), high.max(db)));
        let high_db = ((high + 3.0) / 6.0).ceil() * 6.0;
        Self {
            count: beads.len(),
            low_db: low.max(high_db - 60.0).min(high_db - 24.0) - 3.0,
            high_db,
            step_db: 6.0,
        }
    }

    fn x(&self, index: usize) -> f64 {
        LEFT + (RIGHT - LEFT) * (index as f64 + 0.5) / self.count.max(1) as f64
    }

    fn y(&self, db: f64) -> f64 {
        TOP + (BOTTOM - TOP) * ((self.high_db - db) / (self.high_db - self.low_db)).clamp(0.0, 1.0)
    }

    /// On which side of the scale a level lies that it does not hold. `None` when it does.
    fn off(&self, db: f64) -> Option<Way> {
        if db > self.high_db {
            Some(Way::Up)
        } else if db < self.low_db {
            Some(Way::Down)
        } else {
            None
        }
    }

    /// Height of the middle of a mark. Off the scale it stands inside the edge with an arrow between, so many marks further
    /// in as stand there already: as in the window.
    fn mark_y(&self, db: f64, marks_before: u8) -> f64 {
        let inside = ARROW + RADIUS + f64::from(marks_before) * (2.0 * RADIUS + 1.0);
        match self.off(db) {
            None => self.y(db),
            Some(Way::Up) => TOP + inside,
            Some(Way::Down) => BOTTOM - inside,
        }
    }

    fn levels(&self) -> impl Iterator<Item = f64> {
        let steps = ((self.high_db - self.low_db) / self.step_db) as usize;
        (0..=steps).map(|step| self.high_db - self.step_db * step as f64)
    }
}

/// The picture in words, for who does not see it.
fn in_words(beads: &[Bead], comparison: Option<&Comparison>) -> String {
    let named = |bead: &Bead| hertz(bead.hz) + " Hz";
    let list = |which: Vec<String>| if which.is_empty() { "none".to_owned() } else { which.join(", ") };
    let ringed = list(beads.iter().filter(|bead| bead.fold_db.is_some()).map(named).collect());
    match comparison {
        Some(comparison) if comparison.judges() => {
            let outside = list(beads.iter().filter(|bead| bead.outside).map(named).collect());
            format!(
                "Each third octave beside the records. Outside them: {outside}. Where mono takes most: {ringed}."
            )
        }
        Some(_) => format!(
            "Each third octave beside the records, too few to judge. Where mono takes most: {ringed}."
        ),
        None => format!("The song's level in each third octave. Where mono takes most: {ringed}."),
    }
}

/// The beads, and what has drifted: of a song in the window alone, which is heard again and again.
pub(super) fn part(
    song: &SongFigures,
    comparison: Option<&Comparison>,
    drifts: Option<&Drifts>,
    file: usize,
) -> Markup {
    let beads = beads(song, comparison);
    let scale = Scale::of(&beads, comparison.is_some());
    let drifted = drifts.and_then(Drifts::most_drifted).filter(|_| !beads.is_empty());
    let (title, desc) = (format!("balance-{file}-title"), format!("balance-{file}-desc"));
    html! {
        section {
            h3 { "Balance " small { (heading(comparison)) } }
            @if beads.is_empty() {
                p { "There is no balance to show: too little of it is loud enough." }
            } @else {
                figure .picture style="margin:0" {
                    svg viewBox=(format!("0 0 {WIDTH} {HEIGHT}")) role="img" aria-labelledby=(format!("{title} {desc}")) {
                        title id=(title) { "The balance" }
                        desc id=(desc) { (in_words(&beads, comparison)) }
                        @for db in scale.levels() {
                            @let y = scale.y(db);
                            line class=(if db == 0.0 { "zero" } else { "grid" }) x1=(LEFT) x2=(RIGHT) y1=(y) y2=(y) {}
                            text x=(RIGHT + 8.0) y=(y + 4.0) {
                                (if comparison.is_some() { signed(db, 0) } else { number(db, 0) })
                            }
                        }
                        @for (index, bead) in beads.iter().enumerate() { (wires(bead, index, &scale, comparison)) }
                        @for (index, bead) in beads.iter().enumerate() { (marks(bead, index, &scale)) }
                        @if let Some(drifted) = &drifted { (bracket(drifted, &beads, &scale)) }
                    }
                }
                @if let Some(words) = drifts.and_then(|drifts| drift_words(drifts, drifted.as_ref())) { p { (words) } }
                p .note { (legend(comparison).replace(" ·", "\u{a0}·")) }
            }
        }
    }
}

fn heading(comparison: Option<&Comparison>) -> Markup {
    let Some(beside) = comparison else {
        return html! { "each third octave, dB relative to the loudness of the same 3 s" };
    };
    html! { "against “" (named(&beside.name)) "”, " (records(beside.records)) ", loudness matched, dB from the middle of them" }
}

fn legend(comparison: Option<&Comparison>) -> &'static str {
    match comparison {
        Some(comparison) if comparison.judges() => {
            "bead: the song · square: outside the records · between knots: where the records lie · thin wire: how far they \
             move · ring: where mono leaves it · arrow: a wire goes on"
        }
        Some(_) => {
            "bead: the song · dashes: the records, too few to call anything outside · thin wire: how far they move · ring: \
             where mono leaves it · arrow: a wire goes on"
        }
        None => {
            "bead: the song · thin wire: how far it moves · ring: where mono leaves it · arrow: a wire goes on"
        }
    }
}

fn wires(bead: &Bead, index: usize, scale: &Scale, comparison: Option<&Comparison>) -> Markup {
    let x = scale.x(index);
    let judges = comparison.is_some_and(Comparison::judges);
    html! {
        @if let Some([low, high]) = bead.moves_db { line .moves x1=(x) x2=(x) y1=(scale.y(low)) y2=(scale.y(high)) {} }
        @if let Some([low, high]) = bead.records_db {
            @if judges {
                line .between stroke-width=(BETWEEN) x1=(x) x2=(x) y1=(scale.y(low)) y2=(scale.y(high)) {}
            }
            @for db in [low, high].into_iter().filter(|db| scale.off(*db).is_none()) {
                @if judges {
                    circle .knot cx=(x) cy=(scale.y(db)) r=(KNOT) {}
                } @else {
                    line .between stroke-width=(DASH) x1=(x - HALF_DASH) x2=(x + HALF_DASH) y1=(scale.y(db)) y2=(scale.y(db)) {}
                }
            }
        }
        @for way in beyond(bead, scale) { (goes_on(x, way, 0.6 * RADIUS, "of-wire")) }
        // A name under every third column: the octaves' middles.
        @if index % 3 == 2 { text x=(x) y=(NAMES) text-anchor="middle" { (hertz(bead.hz)) } }
    }
}

/// To what lies beyond the scale.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Way {
    Up,
    Down,
}

/// Where a bead's wires go on beyond the scale.
fn beyond(bead: &Bead, scale: &Scale) -> impl Iterator<Item = Way> {
    let wires = [bead.moves_db, bead.records_db];
    let up = wires.iter().flatten().any(|[_, high]| *high > scale.high_db);
    let down = wires.iter().flatten().any(|[low, _]| *low < scale.low_db);
    [up.then_some(Way::Up), down.then_some(Way::Down)].into_iter().flatten()
}

/// The arrow to the scale's edge, in the colour of what lies beyond.
fn goes_on(x: f64, way: Way, half_width: f64, what: &str) -> Markup {
    let (tip, foot) = match way {
        Way::Up => (TOP, TOP + ARROW),
        Way::Down => (BOTTOM, BOTTOM - ARROW),
    };
    let (left, right) = (x - half_width, x + half_width);
    html! {
        path class=(format!("goes-on {what}")) d=(format!("M{left:.1} {foot:.1}L{x:.1} {tip:.1}L{right:.1} {foot:.1}Z")) {}
    }
}

/// A bead and its ring. The figures of what lies beyond the scale stand beside the scale, where no mark is in their way.
fn marks(bead: &Bead, index: usize, scale: &Scale) -> Markup {
    let x = scale.x(index);
    let off = scale.off(bead.db);
    let ring = bead.fold_db.map(|fold_db| (fold_db, bead.db + fold_db));
    // Where both lie beyond one edge, one stands further in.
    let both = ring.is_some_and(|(_, ring_db)| off.is_some() && scale.off(ring_db) == off);
    let is_inner = both && off == Some(Way::Down);
    let y = scale.mark_y(bead.db, u8::from(is_inner));
    let colour = if bead.outside { "of-outside" } else { "of-song" };
    html! {
        @if let Some((fold_db, ring_db)) = ring {
            @let below = scale.mark_y(ring_db, u8::from(both && !is_inner));
            line .stem x1=(x) x2=(x) y1=(y) y2=(below) {}
            @if let Some(way) = scale.off(ring_db).filter(|way| *way == Way::Down) { (goes_on(x, way, 0.8 * RADIUS, "of-mono")) }
            circle .ring cx=(x) cy=(below) r=(RADIUS - 0.5) {}
            @let figure_y = if below + 20.0 > BOTTOM { UNDER } else { below + 20.0 };
            text .ringed x=(x) y=(figure_y) text-anchor="middle" {
                (if fold_db.is_finite() { number(fold_db, 0) } else { "lost".to_owned() })
            }
        }
        @if let Some(way) = off.filter(|_| !is_inner) { (goes_on(x, way, 0.8 * RADIUS, colour)) }
        @if bead.outside {
            rect .square x=(x - RADIUS) y=(y - RADIUS) width=(2.0 * RADIUS) height=(2.0 * RADIUS) {}
        } @else {
            circle .bead cx=(x) cy=(y) r=(RADIUS) {}
        }
        // Beyond the scale a figure says how far.
        @if let Some(way) = off {
            @let figure_y = match way { Way::Up => OVER, Way::Down if is_inner => y - RADIUS - 5.0, Way::Down => UNDER };
            text .far x=(x) y=(figure_y) text-anchor="middle" { (number(bead.db, 0)) }
        }
    }
}

/// The bracket over the bands that have drifted, as in the window: over their marks, with its amount.
fn bracket(drifted: &Drifted, beads: &[Bead], scale: &Scale) -> Markup {
    let [low, high] = drifted.bands_hz;
    let under = || beads.iter().enumerate().filter(|(_, bead)| (low..=high).contains(&bead.hz));
    let half = 0.3 * (scale.x(1) - scale.x(0));
    let [from, to] = [under().next(), under().next_back()].map(|end| end.map(|(index, _)| scale.x(index)));
    let top = under().map(|(_, bead)| scale.mark_y(bead.db, 0) - RADIUS).fold(BOTTOM, f64::min);
    let y = (top - 7.0).max(TOP + 18.0);
    html! {
        @if let Some((from, to)) = from.zip(to) {
            @let (from, to) = (from - half, to + half);
            path .drift d=(format!("M{from:.1} {:.1}V{y:.1}H{to:.1}V{:.1}", y + 4.0, y + 4.0)) {}
            text .drifted x=(f64::midpoint(from, to).clamp(LEFT + 60.0, RIGHT - 60.0)) y=(y - 4.0) text-anchor="middle" {
                (drifted.words())
            }
        }
    }
}

/// What has drifted, in a sentence. `None` where it can't be told.
fn drift_words(drifts: &Drifts, drifted: Option<&Drifted>) -> Option<String> {
    let brighter = drifts.brighter_words().map(|[both, _]| both);
    let most =
        drifted.map(|drifted| format!("{} {} (the bracket)", bands(drifted.bands_hz), drifted.words()));
    let said: Vec<String> = [brighter, most].into_iter().flatten().collect();
    (!said.is_empty()).then(|| format!("Drift: {}.", said.join("; ")))
}

#[cfg(test)]
mod tests;
