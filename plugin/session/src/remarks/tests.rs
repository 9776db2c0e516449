//! The rules on figures: each speaks just beyond its limit, and not just short of it.

mod answers;
mod cases;
mod mono_elsewhere;
mod sentences;

use candlemark_analysis::bands::NOMINAL_HZ;
use candlemark_analysis::{Db, Hertz};

use super::rules::RULES;
use super::*;
use crate::drift::Drifts;
use crate::elsewhere::Elsewhere;
use crate::falls_away::FALLS_DB;
use crate::figures::{BandFigures, FallsAway, Fold, LowEnd, OneSided, SilentSide, SongFigures, Spread};
use crate::yardstick::{Record, RecordBand, Yardstick};
use cases::{CASES, Case, by_id};

fn kept(db: f64) -> Fold {
    Fold { kept: Some(10f64.powf(db / 10.0)) }
}

/// Three records a decibel apart in every band and figure.
fn records() -> Yardstick {
    let record = |step: f64| Record {
        title: format!("record {step}"),
        duration_s: 200.0,
        section: false,
        integrated_lufs: -14.0,
        range_lu: Some(6.0),
        true_peak_dbtp: Some(-1.0),
        plr_db: Some(13.0 + step),
        psr_loud_db: Some(9.0 + step),
        crest_db: Some(12.0 + step),
        fold_db: Some(-0.7),
        correlation: Some(0.6),
        bands: NOMINAL_HZ
            .map(|hz| RecordBand {
                hz,
                relative_db: -14.0 + step,
                low_db: -18.0,
                high_db: -10.0,
                fold_db: Some(-0.7),
            })
            .to_vec(),
    };
    Yardstick { name: "three".into(), records: [-1.0, 0.0, 1.0].map(record).to_vec() }
}

/// A song of which there is nothing to say: on the middle record, narrow in the low end, two minutes long.
fn song() -> SongFigures {
    SongFigures {
        duration_s: 130.0,
        gated_s: 120.0,
        true_peak_dbtp: Some(Db(-1.0)),
        plr: Some(Db(13.0)),
        psr_loud: Some(Db(9.0)),
        crest: Some(Db(12.0)),
        fold: kept(-0.7),
        correlation: Some(0.6),
        low_end: Some(LowEnd {
            fold: kept(-0.2),
            above_fold: kept(-1.0),
            power_share: 0.3,
            falls: FallsAway { bands_hz: [31.5, 100.0], fold: kept(-0.2), at_s: None, until_s: None },
        }),
        cancels: vec![FallsAway {
            bands_hz: [2000.0, 3150.0],
            fold: kept(-2.0),
            at_s: Some(80.0),
            until_s: Some(90.0),
        }],
        bands: NOMINAL_HZ
            .map(|hz| BandFigures {
                nominal: Hertz(hz),
                level: Some(Db(-30.0)),
                relative: Some(Spread { low_db: -18.0, median_db: -14.0, high_db: -10.0 }),
                fold: kept(-0.7),
                correlation: Some(0.6),
            })
            .to_vec(),
        ..SongFigures::default()
    }
}

/// The song with the bands from one frequency to another raised by so many dB.
fn raised(song: &mut SongFigures, from_hz: f64, to_hz: f64, db: f64) {
    for band in song.bands.iter_mut().filter(|band| (from_hz..=to_hz).contains(&band.nominal.0)) {
        band.relative.as_mut().unwrap().median_db += db;
    }
}

fn low_end(song: &mut SongFigures, db: f64, place: [Option<f64>; 2]) {
    let low = song.low_end.as_mut().unwrap();
    low.fold = kept(db);
    low.above_fold = kept(-0.5);
    low.falls =
        FallsAway { bands_hz: [80.0, 125.0], fold: kept(2.0 * db), at_s: place[0], until_s: place[1] };
}

fn correlated(song: &mut SongFigures, correlation: f64) {
    song.correlation = Some(correlation);
    song.bands.iter_mut().for_each(|band| band.correlation = Some(correlation));
}

fn one_sided(song: &mut SongFigures, length_s: f64) {
    song.health.one_sided = Some(OneSided { silent: SilentSide::Right, length_s, at_s: 70.0 });
}

fn squeezed(song: &mut SongFigures, psr_db: f64, plr_db: f64) {
    // The crest factor of these songs lies 3 dB over their PSR.
    (song.psr_loud, song.plr, song.crest) = (Some(Db(psr_db)), Some(Db(plr_db)), Some(Db(psr_db + 3.0)));
}

/// A song and what else is known of it.
struct Known {
    song: SongFigures,
    around: Around<'static>,
    drifts: Drifts,
    elsewhere: Vec<Elsewhere>,
}

impl Known {
    fn of(song: SongFigures) -> Self {
        let around = Around { stage: Stage::Printing, ..Around::default() };
        Self { song, around, drifts: Drifts::default(), elsewhere: Vec::new() }
    }

    fn given<'a>(&'a self, yardstick: &'a Yardstick) -> Given<'a> {
        Given {
            song: &self.song,
            around: Around { yardstick: Some(yardstick), ..self.around },
            drifts: Some(&self.drifts),
            elsewhere: &self.elsewhere,
        }
    }
}

impl std::ops::Deref for Known {
    type Target = SongFigures;

    fn deref(&self) -> &SongFigures {
        &self.song
    }
}

impl std::ops::DerefMut for Known {
    fn deref_mut(&mut self) -> &mut SongFigures {
        &mut self.song
    }
}

/// What is said of a song that nothing was said of before.
fn said(change: impl FnOnce(&mut Known)) -> Vec<Remark> {
    let mut known = Known::of(song());
    change(&mut known);
    Remarks::default().on(&known.given(&records()))
}

fn ids(remarks: &[Remark]) -> Vec<&str> {
    remarks.iter().map(|remark| remark.id.as_str()).collect()
}

type Change = fn(&mut Known);

#[test]
fn every_rule_has_its_case() {
    let cases: Vec<&str> = CASES.iter().map(|case| case.0).collect();
    let rules: Vec<&str> = RULES.iter().map(|rule| rule.id).collect();
    assert_eq!(cases, rules);
}

#[test]
fn each_rule_speaks_beyond_its_limit_and_not_short_of_it() {
    for Case(id, trips, short, _) in CASES {
        assert_eq!(ids(&said(trips)), [id]);
        let instead = match id {
            "inverted-channel" => vec!["correlation"],
            "unlike-records" => vec!["balance"],
            _ => vec![],
        };
        assert_eq!(ids(&said(short)), instead, "just short of {id}");
    }
}

#[test]
fn a_remark_stays_until_its_figure_is_clearly_on_the_other_side() {
    for Case(id, trips, short, between) in CASES {
        let rule = RULES.iter().find(|rule| rule.id == id).unwrap();
        if rule.kept == rule.made.figure {
            // There is nothing between.
            continue;
        }
        let mut remarks = Remarks::default();
        let mut say = |change: Change| {
            let mut known = Known::of(song());
            change(&mut known);
            ids(&remarks.on(&known.given(&records()))).contains(&id)
        };
        let spoken = [between, trips, between, between, short, between].map(&mut say);
        assert_eq!(spoken, [false, true, true, true, false, false], "{id}");
    }
}

#[test]
fn a_song_anew_begins_without_what_was_said_of_the_last() {
    let mut remarks = Remarks::default();
    let mut song = song();
    low_end(&mut song, -3.0, [None, None]);
    assert_eq!(remarks.on(&Given::of_file(&song, None)).len(), 1);
    assert!(remarks.on(&Given::of_file(&SongFigures::default(), None)).is_empty());
    low_end(&mut song, -1.3, [None, None]);
    assert!(remarks.on(&Given::of_file(&song, None)).is_empty());
}

#[test]
fn three_at_most_are_said_the_most_urgent_first() {
    let everything = |song: &mut Known| {
        song.health.dc_left = 0.1;
        song.true_peak_dbtp = Some(Db(2.0));
        squeezed(song, 3.0, 4.0);
        raised(song, 2000.0, 6300.0, 4.0);
        song.cancels[0].fold = kept(-9.0);
        low_end(song, -4.0, [None, None]);
    };
    assert_eq!(ids(&said(everything)), ["low-end-fold", "cancellation", "balance"]);
    let fewer = |song: &mut Known| {
        everything(song);
        low_end(song, 0.0, [None, None]);
        song.cancels.clear();
    };
    assert_eq!(ids(&said(fewer)), ["balance", "compression", "true-peak-overs"]);
}

#[test]
fn a_remark_takes_more_than_a_ring() {
    let cancellation = RULES.iter().find(|rule| rule.id == "cancellation").unwrap();
    assert!(cancellation.made.figure < FALLS_DB);
}

#[test]
fn the_table_stands_in_the_order_of_urgency() {
    assert!(RULES.is_sorted_by_key(|rule| rule.urgency));
}

#[test]
fn what_follows_from_another_finding_is_not_said_beside_it() {
    for (first, then) in [
        ("dead-channel", "low-end-fold"),
        ("inverted-channel", "cancellation"),
        ("low-end-fold", "fold"),
        ("fold", "correlation"),
        ("candle-spent", "rest-due"),
        ("drift", "drift-bands"),
        ("balance", "elsewhere"),
        ("compression", "range"),
        ("clipped-runs", "true-peak-overs"),
    ] {
        let changes = [by_id(first), by_id(then)].map(|case| case.1);
        assert_eq!(ids(&said(changes[1])), [then]);
        let both = said(|song| [1, 0].into_iter().for_each(|n: usize| changes[n](song)));
        assert_eq!(ids(&both), [first], "not {then} as well");
    }
    assert_eq!(ids(&said(by_id("unlike-records").2)), ["balance"]);
    for rule in &RULES {
        let names = |id: &&str| RULES.iter().any(|other| other.id == *id);
        assert!(rule.instead_of.iter().all(names), "{} keeps an unknown rule quiet", rule.id);
    }
}

#[test]
fn under_a_minute_of_song_and_under_three_records_nothing_is_judged() {
    let faulty = || {
        let mut song = song();
        raised(&mut song, 2000.0, 6300.0, 4.0);
        squeezed(&mut song, 3.0, 4.0);
        song
    };
    let said = |song: &SongFigures, yardstick: &Yardstick| {
        ids(&Remarks::default().on(&Given::of_file(song, Some(yardstick)))).len()
    };
    assert_eq!(said(&faulty(), &records()), 2);
    let short = SongFigures { gated_s: 59.9, ..faulty() };
    assert_eq!(said(&short, &records()), 0);
    let two = Yardstick { records: records().records[..2].to_vec(), ..records() };
    assert_eq!(said(&faulty(), &two), 0);
    // A record without the figure is none for it.
    let mut unknown = records();
    unknown.records[1].psr_loud_db = None;
    assert_eq!(said(&faulty(), &unknown), 1);
}

#[test]
fn a_low_end_that_is_little_or_as_wide_as_the_rest_is_left_alone() {
    let changes: [Change; 3] = [
        |song| song.low_end.as_mut().unwrap().power_share = 0.09,
        |song| song.low_end.as_mut().unwrap().above_fold = kept(-2.51),
        |song| song.gated_s = 59.0,
    ];
    for change in changes {
        let said = said(|song| {
            low_end(song, -3.0, [None, None]);
            change(song);
        });
        assert_eq!(said, []);
    }
}

#[test]
fn a_strong_low_end_that_is_turned_over_is_no_channel_turned_over() {
    assert!(said(|song| song.correlation = Some(-0.95)).is_empty());
}

#[test]
fn what_falls_away_with_the_low_end_is_told_once() {
    let with = |song: &mut Known| {
        low_end(song, -3.0, [None, None]);
        song.cancels[0].bands_hz = [125.0, 200.0];
        song.cancels[0].fold = kept(-12.0);
    };
    assert_eq!(ids(&said(with)), ["low-end-fold"]);
    let elsewhere = |song: &mut Known| {
        with(song);
        let higher = FallsAway { bands_hz: [250.0, 400.0], fold: kept(-7.0), ..song.cancels[0] };
        song.cancels.push(higher);
    };
    let remarks = said(elsewhere);
    assert_eq!(ids(&remarks), ["low-end-fold", "cancellation"]);
    assert!(remarks[1].text.starts_with("250–400 Hz"), "{}", remarks[1].text);
}

/// A bass in one key has its power in one band, where the records have theirs in the next.
#[test]
fn a_single_low_band_is_the_songs_key() {
    assert!(said(|song| raised(song, 50.0, 50.0, 12.0)).is_empty());
    assert!(
        said(|song| {
            raised(song, 40.0, 63.0, -20.0);
            raised(song, 50.0, 50.0, 24.5);
        })
        .is_empty()
    );
    assert_eq!(ids(&said(|song| raised(song, 40.0, 63.0, 6.0))), ["balance"]);
}

#[test]
fn two_adjacent_bands_or_three_on_two_sides_are_no_range() {
    assert!(said(|song| raised(song, 2000.0, 2500.0, 9.0)).is_empty());
    assert!(
        said(|song| {
            raised(song, 2000.0, 2500.0, 9.0);
            raised(song, 3150.0, 3150.0, -9.0);
        })
        .is_empty()
    );
}
