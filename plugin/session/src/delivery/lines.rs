//! What a finished file makes of a limit.

use candlemark_analysis::{Channels, Db, Hertz};
use serde::Serialize;

use super::{Figure, Limit};
use crate::edges::Silence;
use crate::figures::SongFigures;

/// Under a minute of sound a range tells little: EBU R 128 v5 (2023), note on short programmes.
const RANGE_FROM_S: f64 = 60.0;

/// A finished file, as far as a profile asks about it.
#[derive(Clone, Copy, Debug)]
pub struct Finished<'a> {
    /// What it measures.
    pub song: &'a SongFigures,
    /// Its sample rate.
    pub sample_rate: Hertz,
    /// Its channels.
    pub channels: Channels,
    /// Bits of a sample. `None` where the file is coded by ear and has none.
    pub bit_depth: Option<u32>,
    /// Silence at its head and tail. `None` when nothing in it sounds.
    pub silence: Option<Silence>,
    /// It was read to its end and nothing was missing.
    pub is_whole: bool,
}

/// Whether a limit holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// It does.
    Held,
    /// It does not.
    NotHeld,
    /// It can't be told.
    CantTell,
}

/// Why it can't be told.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Unknown {
    /// A part of the file could not be read.
    NotWhole,
    /// Nothing in it passes the gates.
    Silent,
    /// It is too short for this figure.
    TooShort,
    /// The way the file is coded has no such thing.
    NoSuchThing,
}

/// What a finished file makes of one limit.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Line {
    /// What is asked about. Its name says the unit of the rest.
    pub figure: Figure,
    /// Whether it holds.
    pub verdict: Verdict,
    /// What the file has. `None` where it has none; a fold of which nothing is left (−∞) is `None` too.
    pub value: Option<f64>,
    /// What is asked for.
    pub limit: Limit,
    /// How far over (above 0) or under (below 0) what holds the file lies; 0 when it holds.
    pub distance: Option<f64>,
    /// Why it can't be told, where it can't.
    pub why: Option<Unknown>,
}

impl Line {
    /// What `file` makes of a limit.
    pub(super) fn new(figure: Figure, limit: &Limit, file: &Finished<'_>) -> Self {
        let value = value(figure, file);
        let distance = value.ok().map(|value| limit.distance(value));
        let lost_in_mono = figure == Figure::FoldDb && file.song.fold.kept == Some(0.0);
        let over = distance.is_some_and(|distance| distance > 0.0);
        let told_by_a_part =
            figure.is_of_the_format() || (figure.only_grows() && over && limit.one_of.is_empty());
        let (verdict, why) = match (value, distance) {
            _ if !file.is_whole && !told_by_a_part => (Verdict::CantTell, Some(Unknown::NotWhole)),
            // Less than anything that could be asked for.
            _ if lost_in_mono => {
                (if limit.lowest.is_some() { Verdict::NotHeld } else { Verdict::Held }, None)
            }
            (Err(why), _) => (Verdict::CantTell, Some(why)),
            (Ok(_), Some(0.0)) => (Verdict::Held, None),
            (Ok(_), _) => (Verdict::NotHeld, None),
        };
        Self { figure, verdict, value: value.ok(), limit: limit.clone(), distance, why }
    }
}

/// The figure that a file has, or why it has none.
fn value(figure: Figure, file: &Finished<'_>) -> Result<f64, Unknown> {
    let song = file.song;
    let is_silent = song.sample_peak_dbfs.is_none();
    let nothing = if is_silent { Unknown::Silent } else { Unknown::TooShort };
    let of_db = |db: Option<Db>| db.map(|db| db.0).ok_or(Unknown::Silent);
    match figure {
        // A sound too quiet for the gates is as good as none.
        Figure::IntegratedLufs => {
            let nothing = if song.momentary_max.is_some() { Unknown::Silent } else { nothing };
            song.integrated.map(|lufs| lufs.0).ok_or(nothing)
        }
        Figure::ShortTermMaxLufs => song.short_term_max.map(|lufs| lufs.0).ok_or(nothing),
        Figure::MomentaryMaxLufs => song.momentary_max.map(|lufs| lufs.0).ok_or(nothing),
        Figure::RangeLu if song.duration_s < RANGE_FROM_S => Err(Unknown::TooShort),
        Figure::RangeLu => song.range_lu.ok_or(Unknown::Silent),
        Figure::TruePeakDbtp => of_db(song.true_peak_dbtp),
        Figure::FoldDb => of_db(song.fold.db()),
        Figure::ClippedRuns => Ok(song.health.clipped_runs as f64),
        Figure::HeadS => file.silence.map(|silence| silence.head_s).ok_or(Unknown::Silent),
        Figure::TailS => file.silence.map(|silence| silence.tail_s).ok_or(Unknown::Silent),
        Figure::SampleRateHz => Ok(file.sample_rate.0),
        Figure::BitDepth => file.bit_depth.map(f64::from).ok_or(Unknown::NoSuchThing),
        Figure::Channels => Ok(file.channels.count() as f64),
    }
}
