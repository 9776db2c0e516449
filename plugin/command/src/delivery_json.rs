//! Delivery profiles and their lines, for programs. The name of a figure says the unit of what is beside it.

use std::path::Path;

use candlemark_files::Delivery;
use candlemark_session::delivery::{Delivered, Figure, Limit, Line, Profile, Standing, Unknown, Verdict};
use serde::Serialize;

use crate::json::{Error, VERSION};

/// The `delivery` of a file.
#[derive(Serialize)]
pub(crate) struct Told {
    name: String,
    source: String,
    standing: Standing,
    held: bool,
    lines: Vec<ToldLine>,
}

#[derive(Serialize)]
struct ToldLine {
    figure: Figure,
    verdict: Verdict,
    value: Option<f64>,
    lowest: Option<f64>,
    highest: Option<f64>,
    one_of: Option<Vec<f64>>,
    distance: Option<f64>,
    why: Option<Unknown>,
}

impl Told {
    pub(crate) fn new(delivered: &Delivered<'_>) -> Self {
        Self {
            name: delivered.profile.name.clone(),
            source: delivered.profile.source.clone(),
            standing: delivered.profile.standing,
            held: delivered.is_held(),
            lines: delivered.lines.iter().map(ToldLine::new).collect(),
        }
    }
}

fn one_of(limit: &Limit) -> Option<Vec<f64>> {
    (!limit.one_of.is_empty()).then(|| limit.one_of.clone())
}

impl ToldLine {
    fn new(line: &Line) -> Self {
        Self {
            figure: line.figure,
            verdict: line.verdict,
            value: line.value,
            lowest: line.limit.lowest,
            highest: line.limit.highest,
            one_of: one_of(&line.limit),
            distance: line.distance,
            why: line.why,
        }
    }
}

/// `delivery list --json`.
#[derive(Serialize)]
pub(crate) struct List<'a> {
    candlemark: &'static str,
    deliveries: Vec<Listed<'a>>,
}

#[derive(Serialize)]
struct Listed<'a> {
    name: &'a str,
    path: Option<String>,
    source: Option<&'a str>,
    standing: Option<Standing>,
    error: Option<Error>,
}

impl<'a> List<'a> {
    pub(crate) fn new(all: &'a [Delivery]) -> Self {
        let listed = |delivery: &'a Delivery| {
            let profile = delivery.profile.as_ref().ok();
            Listed {
                name: &delivery.name,
                path: delivery.path.as_ref().map(|path| path.display().to_string()),
                source: profile.map(|profile| profile.source.as_str()),
                standing: profile.map(|profile| profile.standing),
                error: delivery.profile.as_ref().err().map(Error::of),
            }
        };
        Self { candlemark: VERSION, deliveries: all.iter().map(listed).collect() }
    }
}

/// `delivery show --json`.
#[derive(Serialize)]
pub(crate) struct Shown<'a> {
    candlemark: &'static str,
    name: &'a str,
    path: Option<String>,
    source: &'a str,
    standing: Standing,
    note: &'a str,
    limits: Vec<ShownLimit>,
}

#[derive(Serialize)]
struct ShownLimit {
    figure: Figure,
    lowest: Option<f64>,
    highest: Option<f64>,
    one_of: Option<Vec<f64>>,
}

impl<'a> Shown<'a> {
    pub(crate) fn new(profile: &'a Profile, path: Option<&Path>) -> Self {
        let limit = |(figure, limit): &(Figure, Limit)| ShownLimit {
            figure: *figure,
            lowest: limit.lowest,
            highest: limit.highest,
            one_of: one_of(limit),
        };
        Self {
            candlemark: VERSION,
            name: &profile.name,
            path: path.map(|path| path.display().to_string()),
            source: &profile.source,
            standing: profile.standing,
            note: &profile.note,
            limits: profile.limits.iter().map(limit).collect(),
        }
    }
}
