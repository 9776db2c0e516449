//! The tone of a finished song: its long-term balance is brought to the band's own curve, as whoever masters it would.

use candlemark_analysis::bands::NOMINAL_HZ;

use super::spectrum::Spectrum;

/// The band's curve: levels of third octaves in dB, by frequency in Hz, between which it is straight over the logarithm of
/// frequency (ours: what records of such songs are like).
const CURVE: [(f64, f64); 10] = [
    (20.0, -14.0),
    (40.0, 3.0),
    (63.0, 8.5),
    (100.0, 7.5),
    (200.0, 4.5),
    (500.0, 2.5),
    (1250.0, -1.0),
    (4000.0, -5.5),
    (10_000.0, -11.0),
    (20_000.0, -22.0),
];
/// Nothing is lifted or lowered by more.
const MOST_DB: f64 = 12.0;
/// So far a record's own character takes it from the curve, in dB.
const CHARACTER_DB: f64 = 2.2;
/// Over so many octaves the character comes round.
const CHARACTER_OCTAVES: f64 = 7.0;

/// How a song leans away from the curve.
#[derive(Clone, Copy)]
pub(crate) enum Character {
    /// It does not.
    Even,
    /// One of three, at any frequency evenly spread: what lies in the middle of one is at the edge of another.
    OfThree(usize),
}

impl Character {
    fn db(self, hz: f64) -> f64 {
        match self {
            Self::Even => 0.0,
            Self::OfThree(which) => {
                let turns = (hz / 1000.0).log2() / CHARACTER_OCTAVES + which as f64 / 3.0;
                CHARACTER_DB * (std::f64::consts::TAU * turns).cos()
            }
        }
    }
}

/// Under the first nothing is left, and over the second everything, in Hz: below is no music.
const SUBSONIC_HZ: [f64; 2] = [12.0, 24.0];

/// A gain by frequency.
pub(crate) struct GainCurve(Vec<(f64, f64)>);

impl GainCurve {
    /// As a factor of amplitude, with so many dB besides.
    pub(crate) fn amplitude(&self, hz: f64, besides_db: f64) -> f32 {
        let [gone_hz, whole_hz] = SUBSONIC_HZ;
        let subsonic = ((hz - gone_hz) / (whole_hz - gone_hz)).clamp(0.0, 1.0) as f32;
        subsonic * super::amplitude(between(&self.0, hz) + besides_db)
    }
}

/// From points of a frequency in Hz and a level in dB: straight over the logarithm of frequency.
fn between(points: &[(f64, f64)], hz: f64) -> f64 {
    let next = points.partition_point(|(at_hz, _)| *at_hz < hz);
    match (next.checked_sub(1).map(|before| points[before]), points.get(next)) {
        (Some((low_hz, low_db)), Some((high_hz, high_db))) => {
            low_db + (high_db - low_db) * (hz / low_hz).ln() / (high_hz / low_hz).ln()
        }
        (Some((_, db)), None) | (None, Some(&(_, db))) => db,
        (None, None) => 0.0,
    }
}

/// What brings a song to the curve and its character, octave by octave, so that the notes that are played stay what they
/// are.
pub(crate) fn towards_the_curve(song: &Spectrum, character: Character) -> GainCurve {
    let octave = 2f64.sqrt();
    let level_db = |power: f64| 10.0 * power.max(1e-30).log10();
    let wanted = |hz: f64| between(&CURVE, hz) + character.db(hz);
    let missing: Vec<(f64, f64)> = NOMINAL_HZ
        .into_iter()
        .map(|hz| {
            let aimed: f64 = [2f64.powf(-1.0 / 3.0), 1.0, 2f64.powf(1.0 / 3.0)]
                .iter()
                .map(|third| 10f64.powf(wanted(hz * third) / 10.0))
                .sum();
            (hz, level_db(aimed) - level_db(song.power(hz / octave, hz * octave)))
        })
        .collect();
    // Against the mean of the octaves that carry the song, so that it is lifted here as much as it is lowered there.
    let heard: Vec<f64> =
        missing.iter().filter(|(hz, _)| (60.0..10_000.0).contains(hz)).map(|(_, db)| *db).collect();
    let mean_db = heard.iter().sum::<f64>() / heard.len() as f64;
    GainCurve(missing.into_iter().map(|(hz, db)| (hz, (db - mean_db).clamp(-MOST_DB, MOST_DB))).collect())
}
