//! The acceptance limits of IEC 61260-1:2014 for third octaves of class 1, at any frequency.

/// Ratio of an octave in the standard's base-ten system: IEC 61260-1:2014 formula (1).
fn octave() -> f64 {
    10f64.powf(0.3)
}

/// The limits at a normalised frequency.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Limits {
    /// Least relative attenuation in dB.
    pub(crate) least_db: f64,
    /// Most relative attenuation in dB.
    pub(crate) most_db: f64,
}

impl Limits {
    /// Whether the frequency lies in the band.
    pub(crate) fn are_inside_the_edges(self) -> bool {
        self.most_db.is_finite()
    }

    /// How far inside the limits an attenuation lies, in dB; below 0 it is outside.
    pub(crate) fn margin_db(self, attenuation_db: f64) -> f64 {
        (attenuation_db - self.least_db).min(self.most_db - attenuation_db)
    }
}

/// A breakpoint of table 1: an exponent of the octave ratio, and the limits there.
type Row = (f64, f64, f64);

/// Inside the band's edges: IEC 61260-1:2014 table 1, class 1; the last row is just inside the edge.
const INSIDE: [Row; 5] =
    [(0.0, -0.4, 0.4), (0.125, -0.4, 0.5), (0.25, -0.4, 0.7), (0.375, -0.4, 1.4), (0.5, -0.4, 5.3)];

/// Outside them, likewise; the first row is just outside the edge.
const OUTSIDE: [Row; 5] = [
    (0.5, 1.2, f64::INFINITY),
    (1.0, 16.6, f64::INFINITY),
    (2.0, 40.5, f64::INFINITY),
    (3.0, 60.0, f64::INFINITY),
    (4.0, 70.0, f64::INFINITY),
];

/// How far on either side of an edge the two limits there are tried.
const BESIDE_EDGE: f64 = 1e-5;

/// A breakpoint of octaves carried over to third octaves: IEC 61260-1:2014 formula (9).
fn breakpoint(exponent: f64) -> f64 {
    let edge = |per_octave: f64| octave().powf(0.5 / per_octave) - 1.0;
    1.0 + edge(3.0) / edge(1.0) * (octave().powf(exponent) - 1.0)
}

/// The limits at `ratio` times the mid-band; the same hold at the reciprocal (formula 10), and between
/// breakpoints they are linear in the ratio's logarithm (formula 11).
pub(crate) fn limits(ratio: f64) -> Limits {
    let ratio = ratio.max(1.0 / ratio);
    let rows = if ratio < breakpoint(0.5) { INSIDE } else { OUTSIDE };
    let last = rows[rows.len() - 1];
    let (below, above) = rows
        .windows(2)
        .map(|pair| (pair[0], pair[1]))
        .find(|(_, above)| ratio <= breakpoint(above.0))
        .unwrap_or((last, last));
    let span = (breakpoint(above.0) / breakpoint(below.0)).ln();
    let share = if span > 0.0 { (ratio / breakpoint(below.0)).ln() / span } else { 0.0 };
    let between = |a: f64, b: f64| if a == b { a } else { a + share * (b - a) };
    Limits { least_db: between(below.1, above.1), most_db: between(below.2, above.2) }
}

/// The normalised frequencies at which a band is tried, from its mid-band up: every breakpoint, the edge from
/// both sides, and halfway between. Their reciprocals belong to them.
pub(crate) fn tried_ratios() -> Vec<f64> {
    let edge = breakpoint(0.5);
    let mut ratios = vec![1.0, edge / (1.0 + BESIDE_EDGE), edge * (1.0 + BESIDE_EDGE)];
    for pair in INSIDE.windows(2).chain(OUTSIDE.windows(2)) {
        let (below, above) = (breakpoint(pair[0].0), breakpoint(pair[1].0));
        ratios.push((below * above).sqrt());
        if above != edge {
            ratios.push(above);
        }
    }
    ratios
}

/// The third-octave breakpoints as formula (9) gives them to five decimals, with table 1's limits.
#[test]
fn the_limits_are_those_of_the_table() {
    for (ratio, least_db, most_db) in [
        (1.0, -0.4, 0.4),
        (1.02667, -0.4, 0.5),
        (1.05575, -0.4, 0.7),
        (1.08746, -0.4, 1.4),
        (1.12201, -0.4, 5.3),
        (1.12203, 1.2, f64::INFINITY),
        (1.29437, 16.6, f64::INFINITY),
        (1.88173, 40.5, f64::INFINITY),
        (3.05365, 60.0, f64::INFINITY),
        (5.39195, 70.0, f64::INFINITY),
        (100.0, 70.0, f64::INFINITY),
    ] {
        for ratio in [ratio, 1.0 / ratio] {
            let found = limits(ratio);
            assert!((found.least_db - least_db).abs() < 0.005, "{ratio}: {found:?}");
            assert!(
                found.most_db == most_db || (found.most_db - most_db).abs() < 0.005,
                "{ratio}: {found:?}"
            );
        }
    }
}

#[test]
fn between_breakpoints_the_limits_are_straight_lines() {
    let halfway = limits((breakpoint(1.0) * breakpoint(2.0)).sqrt());
    assert!((halfway.least_db - f64::midpoint(16.6, 40.5)).abs() < 1e-9, "{halfway:?}");
    let halfway = limits((breakpoint(0.375) * breakpoint(0.5)).sqrt());
    assert!((halfway.most_db - f64::midpoint(1.4, 5.3)).abs() < 1e-9, "{halfway:?}");
    assert_eq!(halfway.least_db, -0.4);
    assert!(halfway.margin_db(0.0) > 0.39 && halfway.margin_db(6.0) < 0.0 && halfway.margin_db(-0.5) < 0.0);
}
