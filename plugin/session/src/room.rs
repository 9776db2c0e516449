//! Room doubt: the bands in which a room is least to be believed, reckoned from its measures.
//!
//! It is arithmetic about a bare box with hard walls. It advises where to be careful, and diagnoses nothing: furniture,
//! doors, slopes and where one sits are not in it.

mod modes;
mod words;

use std::ops::Range;

use candlemark_analysis::Hertz;
use candlemark_analysis::bands::{BAND_COUNT, NOMINAL_HZ, band_edges};
use serde::{Deserialize, Serialize};
use thiserror::Error;

pub use modes::{Mode, ModeKind};
use modes::{modes_up_to, smooth_count};

/// Speed of sound in air at 20 °C, in metres a second: ISO 9613-1:1993 gives 343.2 (from memory).
pub const SPEED_OF_SOUND_M_S: f64 = 343.2;

/// Reverberation time that is assumed where none is known, in seconds: that of a furnished living room, IEC 60268-13:1998
/// (from memory).
pub const ASSUMED_RT60_S: f64 = 0.4;

/// Lengths of a room's sides that can be reckoned with, in metres (ours): a cupboard to a hall.
const SIDES_M: [f64; 2] = [1.0, 50.0];
/// Reverberation times that can be reckoned with, in seconds (ours).
const RT60_S: [f64; 2] = [0.05, 10.0];
/// Lower ends of speakers that can be reckoned with, in hertz (ours).
const SPEAKERS_FROM_HZ: [f64; 2] = [5.0, 500.0];

/// With so many modes in a band, two that coincide do not stand out: Bonello, "A new criterion for the distribution of
/// normal room modes", J. Audio Eng. Soc. 29 (1981) (from memory).
const MODES_THAT_HIDE: usize = 5;

/// Half-power width of a mode is so much over the reverberation time, in hertz: Kuttruff, Room Acoustics, ch. 3 (from memory).
const MODE_WIDTH: f64 = 2.2;
/// Modes closer than this share of their width ring as one (ours).
const COINCIDING: f64 = 0.25;

/// So many bands are called the worst (ours).
const WORST: usize = 3;

/// A room, and what stands in it, as a person tells it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Room {
    /// Length, width and height, in metres.
    pub sides_m: [f64; 3],
    /// Reverberation time, in seconds, where it is known.
    pub rt60_s: Option<f64>,
    /// From the front of the speakers to the wall behind them, in metres.
    pub from_wall_m: Option<f64>,
    /// The lowest frequency that the speakers reach, in hertz.
    pub speakers_from_hz: Option<f64>,
}

/// What can't be reckoned with.
#[derive(Clone, Copy, Debug, PartialEq, Error)]
pub enum BadRoom {
    /// A side is too short, too long, or no number.
    #[error(
        "the room's {side} comes to {length_m:.4} m; {} to {} m can be reckoned with: give metres, or feet with --feet",
        SIDES_M[0], SIDES_M[1]
    )]
    Side {
        /// Which side.
        side: &'static str,
        /// How long it is said to be, in metres.
        length_m: f64,
    },
    /// The reverberation time can't be.
    #[error(
        "a reverberation time of {rt60_s} s can't be reckoned with; {} to {} s can: a furnished room has 0.3 to 0.6",
        RT60_S[0], RT60_S[1]
    )]
    Rt60 {
        /// What it is said to be, in seconds.
        rt60_s: f64,
    },
    /// The speakers stand outside the room, or in the wall.
    #[error(
        "the speakers would stand {from_wall_m:.4} m from the wall behind them in a room of {length_m:.4} m; measure from \
         their front to that wall"
    )]
    FromWall {
        /// The distance, in metres.
        from_wall_m: f64,
        /// The room's longest side, in metres.
        length_m: f64,
    },
    /// Speakers do not begin there.
    #[error(
        "speakers that reach down to {from_hz} Hz can't be reckoned with; {} to {} Hz can: their papers say it",
        SPEAKERS_FROM_HZ[0], SPEAKERS_FROM_HZ[1]
    )]
    Speakers {
        /// What is said of them, in hertz.
        from_hz: f64,
    },
}

/// Why a band is doubted.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(tag = "id", rename_all = "kebab-case")]
pub enum Reason {
    /// No mode of the room lies in it.
    NoModes,
    /// Fewer modes lie in it than in the band below (Bonello's first rule).
    FewerThanBelow,
    /// Two modes or more coincide, where few others hide them (Bonello's second rule).
    Coinciding {
        /// Where the lowest of them lies, in hertz.
        at_hz: f64,
    },
    /// What comes back from the wall behind the speakers is against what comes from them.
    WallCancels {
        /// Where, in hertz: a quarter of the wave is the distance.
        at_hz: f64,
    },
    /// The speakers do not reach down to it.
    SpeakersEnd,
}

/// A third octave in a room.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RoomBand {
    /// Nominal mid-band frequency.
    #[serde(rename = "hz")]
    pub nominal: Hertz,
    /// Modes that lie in it.
    pub modes: usize,
    /// Modes that a room of this size has there on average over all shapes.
    pub expected_modes: f64,
    /// How far the first lies over the second, in dB, half a mode added to both: an empty band has a figure too.
    pub apart_db: f64,
    /// Of the doubted bands that the room itself makes uneven, one of the three that lie furthest from the average.
    pub worst: bool,
    /// Why it is doubted. Empty where it is not.
    pub reasons: Vec<Reason>,
}

/// What is to be doubted in a room.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RoomDoubt {
    /// The reverberation time that was reckoned with, in seconds.
    pub rt60_s: f64,
    /// Nobody said what it is: it is a furnished living room's.
    pub rt60_assumed: bool,
    /// The Schroeder frequency, in hertz: under it the room's single modes are heard, over it they merge.
    pub schroeder_hz: f64,
    /// Where the wall behind the speakers takes most, in hertz.
    pub wall_cancels_hz: Option<f64>,
    /// Every mode up to the Schroeder frequency, from low to high.
    pub modes: Vec<Mode>,
    /// The third octaves up to the Schroeder frequency, to the wall's and to the speakers' end, from low to high.
    pub bands: Vec<RoomBand>,
}

impl Room {
    /// Its volume, in cubic metres.
    pub fn volume_m3(&self) -> f64 {
        self.sides_m.iter().product()
    }

    /// Whether it can be reckoned with.
    ///
    /// # Errors
    ///
    /// When a measure can't be, or is no number.
    pub fn check(&self) -> Result<(), BadRoom> {
        let within = |[low, high]: [f64; 2], value: f64| (low..=high).contains(&value);
        for (side, length_m) in ["length", "width", "height"].into_iter().zip(self.sides_m) {
            if !within(SIDES_M, length_m) {
                return Err(BadRoom::Side { side, length_m });
            }
        }
        if let Some(rt60_s) = self.rt60_s.filter(|rt60_s| !within(RT60_S, *rt60_s)) {
            return Err(BadRoom::Rt60 { rt60_s });
        }
        let length_m = self.sides_m.into_iter().fold(0.0, f64::max);
        if let Some(from_wall_m) = self.from_wall_m.filter(|from| !(*from > 0.0 && *from < length_m)) {
            return Err(BadRoom::FromWall { from_wall_m, length_m });
        }
        match self.speakers_from_hz {
            Some(from_hz) if !within(SPEAKERS_FROM_HZ, from_hz) => Err(BadRoom::Speakers { from_hz }),
            _ => Ok(()),
        }
    }

    /// What is to be doubted in it.
    ///
    /// # Errors
    ///
    /// As [`Room::check`].
    pub fn doubt(&self) -> Result<RoomDoubt, BadRoom> {
        self.check()?;
        let rt60_s = self.rt60_s.unwrap_or(ASSUMED_RT60_S);
        let schroeder_hz = schroeder_hz(rt60_s, self.volume_m3());
        let wall_cancels_hz = self.from_wall_m.map(quarter_wave_hz);
        let ends_hz = [Some(schroeder_hz), wall_cancels_hz, self.speakers_from_hz];
        let end_hz = ends_hz.into_iter().flatten().fold(0.0, f64::max);
        let last = (0..BAND_COUNT).find(|band| band_edges(*band).1.0 > end_hz).unwrap_or(BAND_COUNT - 1);
        // To the end of the last band, or the band in which the Schroeder frequency lies would be told short of modes.
        let modes = modes_up_to(self.sides_m, band_edges(last).1.0, SPEED_OF_SOUND_M_S);
        let counts: Vec<usize> = (0..=last).map(|band| modes_in(&modes, band).len()).collect();
        let coinciding_hz = MODE_WIDTH * COINCIDING / rt60_s;
        let mut bands: Vec<RoomBand> = (0..=last)
            .map(|band| {
                let (from, to) = band_edges(band);
                let expected = [to, from].map(|hz| smooth_count(self.sides_m, hz.0, SPEED_OF_SOUND_M_S));
                let mut reasons = Vec::new();
                if from.0 < schroeder_hz {
                    let below = band.checked_sub(1).map_or(0, |below| counts[below]);
                    reasons.extend(uneven(&modes, modes_in(&modes, band), below, coinciding_hz));
                }
                let holds = |hz: &f64| (from.0..to.0).contains(hz);
                reasons.extend(wall_cancels_hz.filter(holds).map(|at_hz| Reason::WallCancels { at_hz }));
                if self.speakers_from_hz.is_some_and(|from_hz| NOMINAL_HZ[band] < from_hz) {
                    reasons.push(Reason::SpeakersEnd);
                }
                let expected_modes = expected[0] - expected[1];
                let apart = (counts[band] as f64 + 0.5) / (expected_modes + 0.5);
                RoomBand {
                    nominal: Hertz(NOMINAL_HZ[band]),
                    modes: counts[band],
                    expected_modes,
                    apart_db: 10.0 * apart.log10(),
                    worst: false,
                    reasons,
                }
            })
            .collect();
        tell_worst(&mut bands);
        let modes = modes.into_iter().filter(|mode| mode.at_hz <= schroeder_hz).collect();
        let rt60_assumed = self.rt60_s.is_none();
        Ok(RoomDoubt { rt60_s, rt60_assumed, schroeder_hz, wall_cancels_hz, modes, bands })
    }
}

impl RoomDoubt {
    /// The bands that are doubted, from low to high.
    pub fn doubted(&self) -> impl Iterator<Item = &RoomBand> {
        self.bands.iter().filter(|band| !band.reasons.is_empty())
    }
}

/// The Schroeder frequency, in hertz: 2000·√(T/V), Kuttruff, Room Acoustics, eq. 3.44 (from memory).
fn schroeder_hz(rt60_s: f64, volume_m3: f64) -> f64 {
    2000.0 * (rt60_s / volume_m3).sqrt()
}

/// The frequency of which a distance is a quarter wave, in hertz: what returns from the wall has gone half a wave further.
fn quarter_wave_hz(distance_m: f64) -> f64 {
    SPEED_OF_SOUND_M_S / (4.0 * distance_m)
}

/// Which of the modes lie in a band.
fn modes_in(modes: &[Mode], band: usize) -> Range<usize> {
    let (from, to) = band_edges(band);
    let first = modes.partition_point(|mode| mode.at_hz < from.0);
    first..modes.partition_point(|mode| mode.at_hz < to.0)
}

/// Why a band with these `own` of all modes is uneven against its neighbours, of which the one below has so many.
fn uneven(modes: &[Mode], own: Range<usize>, below: usize, coinciding_hz: f64) -> Vec<Reason> {
    if own.is_empty() {
        return vec![Reason::NoModes];
    }
    let mut reasons = Vec::new();
    if own.len() < below {
        reasons.push(Reason::FewerThanBelow);
    }
    // Two that lie on either side of a band's edge coincide for both bands.
    let near = &modes[own.start.saturating_sub(1)..(own.end + 1).min(modes.len())];
    let pair = near.windows(2).find(|pair| pair[1].at_hz - pair[0].at_hz < coinciding_hz);
    if let Some(pair) = pair.filter(|_| own.len() < MODES_THAT_HIDE) {
        reasons.push(Reason::Coinciding { at_hz: pair[0].at_hz });
    }
    reasons
}

/// Tells the bands that lie furthest from the average among those that the room itself makes uneven: in a small room every
/// low band holds few modes, and doubting all of them alike would help nobody. Where no mode has begun yet, nothing is uneven.
fn tell_worst(bands: &mut [RoomBand]) {
    let first = bands.iter().position(|band| band.modes > 0).unwrap_or(bands.len());
    let is_uneven = |band: &RoomBand| {
        let of_the_room =
            |reason: &Reason| !matches!(reason, Reason::WallCancels { .. } | Reason::SpeakersEnd);
        band.reasons.iter().any(of_the_room)
    };
    let mut order: Vec<usize> = (first..bands.len()).filter(|band| is_uneven(&bands[*band])).collect();
    order.sort_by(|a, b| bands[*b].apart_db.abs().total_cmp(&bands[*a].apart_db.abs()));
    for band in order.into_iter().take(WORST) {
        bands[band].worst = true;
    }
}

#[cfg(test)]
mod tests;
