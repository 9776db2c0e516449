//! Delivery profiles and their lines, for programs. The name of a figure says the unit of what is beside it.

use std::path::Path;

use candlemark_files::Delivery;
use candlemark_session::delivery::{Delivered, Figure, Limit, Line, Profile, Standing, Unknown, Verdict};
use serde::Serialize;

use crate::json::Error;

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
    #[serde(flatten)]
    limit: ToldLimit,
    distance: Option<f64>,
    why: Option<Unknown>,
}

/// A limit with all its keys, whether it uses them or not.
#[derive(Serialize)]
struct ToldLimit {
    lowest: Option<f64>,
    highest: Option<f64>,
    one_of: Option<Vec<f64>>,
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

impl ToldLimit {
    fn new(Limit { lowest, highest, one_of }: &Limit) -> Self {
        let one_of = (!one_of.is_empty()).then(|| one_of.clone());
        Self { lowest: *lowest, highest: *highest, one_of }
    }
}

impl ToldLine {
    fn new(line: &Line) -> Self {
        Self {
            figure: line.figure,
            verdict: line.verdict,
            value: line.value,
            limit: ToldLimit::new(&line.limit),
            distance: line.distance,
            why: line.why,
        }
    }
}

/// `delivery list --json`.
#[derive(Serialize)]
pub(crate) struct List<'a> {
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

pub(crate) fn list(all: &[Delivery]) -> List<'_> {
    let mut deliveries = Vec::new();
    for Delivery { name, path, profile, .. } in all {
        let error = profile.as_ref().err().map(Error::of);
        let profile = profile.as_ref().ok();
        deliveries.push(Listed {
            name,
            path: path.as_ref().map(|path| path.display().to_string()),
            source: profile.map(|profile| profile.source.as_str()),
            standing: profile.map(|profile| profile.standing),
            error,
        });
    }
    List { deliveries }
}

/// `delivery show --json`.
#[derive(Serialize)]
pub(crate) struct Shown<'a> {
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
    #[serde(flatten)]
    limit: ToldLimit,
}

impl<'a> Shown<'a> {
    pub(crate) fn new(profile: &'a Profile, path: Option<&Path>) -> Self {
        let limit =
            |(figure, limit): &(Figure, Limit)| ShownLimit { figure: *figure, limit: ToldLimit::new(limit) };
        Self {
            name: &profile.name,
            path: path.map(|path| path.display().to_string()),
            source: &profile.source,
            standing: profile.standing,
            note: &profile.note,
            limits: profile.limits.iter().map(limit).collect(),
        }
    }
}
