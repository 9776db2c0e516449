//! Views made for the pictures, by rule rather than by measuring.

use std::sync::Arc;

use candlemark_analysis::bands::NOMINAL_HZ;
use candlemark_analysis::{Db, Hertz, Lufs};
use candlemark_editor::{Choice, Controls, Hear, Hearing};
use candlemark_session::candle::{Activity, Candle};
use candlemark_session::comparison::Comparison;
use candlemark_session::drift::{Drifts, Moved};
use candlemark_session::ear_match::EarMatch;
use candlemark_session::elsewhere::Elsewhere;
use candlemark_session::figures::{BandFigures, FallsAway, Fold, LowEnd, SongFigures, Spread};
use candlemark_session::remarks::{Given, Remarks, Stage};
use candlemark_session::strip::StripPoint;
use candlemark_session::view::View;
use candlemark_session::yardstick::{Record, RecordBand, Yardstick};

const NAME: &str = "folk, three records";

/// Bands that are planted outside the records, in hertz.
pub(crate) const OUTSIDE_HZ: [f64; 6] = [2000.0, 2500.0, 3150.0, 4000.0, 5000.0, 6300.0];
/// Bands that mono leaves, in hertz, with what it takes, in dB.
pub(crate) const RINGS: [(f64, f64); 3] = [(80.0, -2.9), (100.0, -5.2), (63.0, -1.8)];

/// How music falls from low to high: a tilt, in dB.
fn tilt_db(index: usize) -> f64 {
    -8.0 - 0.035 * (index as f64 - 5.0).powi(2)
}

fn power(db: f64) -> f64 {
    10f64.powf(db / 10.0)
}

fn record(title: &str, bend_db: f64, [range, psr, plr, fold]: [f64; 4]) -> Record {
    let bands = (0..NOMINAL_HZ.len()).map(|index| {
        let relative_db = tilt_db(index) + bend_db * (1.6 + 0.5 * (index as f64 * 0.35).cos());
        let moves_db = 3.0 + 1.2 * (index as f64 * 0.8 + bend_db).sin();
        let (low_db, high_db) = (relative_db - moves_db, relative_db + 0.8 * moves_db);
        RecordBand { hz: NOMINAL_HZ[index], relative_db, low_db, high_db, fold_db: Some(-0.6) }
    });
    Record {
        title: title.into(),
        duration_s: 220.0,
        section: false,
        integrated_lufs: -14.0,
        range_lu: Some(range),
        true_peak_dbtp: Some(-1.0),
        plr_db: Some(plr),
        psr_loud_db: Some(psr),
        crest_db: Some(psr + 3.0),
        fold_db: Some(fold),
        correlation: Some(0.5),
        bands: bands.collect(),
    }
}

pub(crate) fn yardstick(records: usize) -> Yardstick {
    let all = [
        record("one.flac", -1.1, [6.0, 8.1, 11.9, -1.7]),
        record("two.flac", 0.1, [7.4, 9.6, 13.2, -1.2]),
        record("three.flac", 1.2, [9.0, 11.0, 14.4, -0.9]),
    ];
    Yardstick { name: NAME.into(), records: all.into_iter().take(records).collect() }
}

fn song() -> SongFigures {
    let bands = (0..NOMINAL_HZ.len()).map(|index| {
        let hz = NOMINAL_HZ[index];
        let off_db = if OUTSIDE_HZ.contains(&hz) {
            3.4 + 0.8 * (index as f64 * 1.7).sin()
        } else {
            0.9 * (index as f64 * 0.55).sin()
        };
        let median_db = tilt_db(index) + 0.12 + off_db;
        let fold_db = RINGS.iter().find(|(ring_hz, _)| *ring_hz == hz).map_or(-0.5, |(_, db)| *db);
        BandFigures {
            nominal: Hertz(hz),
            level: Some(Db(median_db - 20.0)),
            relative: Some(Spread { low_db: median_db - 3.0, median_db, high_db: median_db + 3.0 }),
            fold: Fold { kept: Some(power(fold_db)) },
            correlation: Some(0.4),
        }
    });
    SongFigures {
        duration_s: 130.0,
        gated_s: 128.0,
        integrated: Some(Lufs(-19.6)),
        momentary_max: Some(Lufs(-16.0)),
        short_term_max: Some(Lufs(-17.9)),
        range_lu: Some(5.1),
        true_peak_dbtp: Some(Db(-4.3)),
        sample_peak_dbfs: Some(Db(-4.6)),
        plr: Some(Db(15.3)),
        psr_loud: Some(Db(9.4)),
        crest: Some(Db(12.7)),
        fold: Fold { kept: Some(power(-2.9)) },
        correlation: Some(0.41),
        bands: bands.collect(),
        ..SongFigures::default()
    }
}

/// 3:40 of a song, of which 2:10 were heard: up to 1:40, ten seconds from 1:48 on, and the end, with a pass before of the
/// first 1:30.
fn strip() -> Arc<[StripPoint]> {
    let heard = |at: f64| at <= 100.0 || (109.0..=118.0).contains(&at) || at > 200.0;
    (1..=220)
        .map(f64::from)
        .filter(|song_s| heard(*song_s))
        .map(|song_s| {
            let part = if song_s < 30.0 {
                -26.5
            } else if song_s < 60.0 {
                -22.0
            } else if song_s < 110.0 {
                -19.0
            } else {
                -18.4
            };
            let lufs = part + 0.9 * (song_s * 0.21).sin() + 0.4 * (song_s * 0.83).sin();
            let taken = if song_s > 80.0 { 3.2 } else { 0.9 };
            let before = Lufs(lufs - 0.7 + 0.5 * (song_s * 0.1).cos());
            StripPoint {
                song_s,
                cell_s: 1.0,
                latest: Some(Lufs(lufs)),
                mono: Some(Lufs(lufs - taken)),
                before: (song_s <= 90.0).then_some(before),
                over: false,
                aside: false,
            }
        })
        .collect()
}

/// A candle of which so much is left, with a rest taken whenever one was due.
fn candle(left_share: f64) -> Candle {
    let mut candle = Candle::default();
    let mut work_s = candle.budget_s() * (1.0 - left_share);
    while work_s > 0.0 {
        let until_rest_s = work_s.min(candle.times().rest_every_s);
        candle.burn(until_rest_s);
        work_s -= until_rest_s;
        if work_s > 0.0 || left_share == 0.0 {
            candle.rest_now();
            candle.advance(candle.times().rest_for_s, Activity::Quiet);
        }
    }
    candle
}

fn with_yardstick(song: SongFigures, yardstick: &Yardstick) -> View {
    View {
        short_term: Some(Lufs(-18.2)),
        momentary: Some(Lufs(-17.6)),
        integrated: Some(Lufs(-19.4)),
        fold: Fold { kept: Some(power(-2.4)) },
        correlation: Some(0.41),
        comparison: Some(Comparison::new(&song, yardstick)),
        elsewhere: Elsewhere::all(&song.bands, Some(yardstick)),
        ear_match: Some(EarMatch::RecordsDown { by_db: [7.6, 11.1] }),
        strip: strip(),
        playhead_s: Some(118.0),
        candle: candle(0.42),
        song: song.into(),
        ..View::default()
    }
}

pub(crate) fn shelf() -> Choice {
    Choice {
        names: vec![NAME.into(), "a louder evening".into()],
        in_use: Some(NAME.into()),
        ..Choice::default()
    }
}

/// Three records, bands outside, rings in the low end.
pub(crate) fn working() -> View {
    with_yardstick(song(), &yardstick(3))
}

/// As [`working`], with two records.
pub(crate) fn two_records() -> View {
    with_yardstick(song(), &yardstick(2))
}

/// As [`working`], with one record.
pub(crate) fn one_record() -> View {
    with_yardstick(song(), &yardstick(1))
}

/// As [`working`], with no yardstick.
pub(crate) fn no_yardstick() -> View {
    let elsewhere = Elsewhere::all(&song().bands, None);
    View { comparison: None, elsewhere, ..working() }
}

/// As [`working`], with the low end out of phase from 1:21 on and the loud parts squeezed, and what the rules say of it.
pub(crate) fn remarks() -> View {
    let mut song = SongFigures {
        psr_loud: Some(Db(6.2)),
        plr: Some(Db(9.1)),
        crest: Some(Db(9.4)),
        low_end: Some(LowEnd {
            fold: Fold { kept: Some(power(-2.6)) },
            above_fold: Fold { kept: Some(power(-0.6)) },
            power_share: 0.3,
            falls: FallsAway {
                bands_hz: [63.0, 100.0],
                fold: Fold { kept: Some(power(-4.7)) },
                at_s: Some(81.4),
                until_s: None,
            },
        }),
        ..song()
    };
    lift(&mut song, 1.2);
    let records = yardstick(3);
    let remarks = Remarks::default().on(&Given::of_song(&song, Some(&records)));
    View { remarks, drifts: drifted().into(), ..with_yardstick(song, &records) }
}

/// What lies outside lies further outside: by more than one more record of the kind would.
fn lift(song: &mut SongFigures, by_db: f64) {
    let outside = song.bands.iter_mut().filter(|band| OUTSIDE_HZ.contains(&band.nominal.0));
    for relative in outside.filter_map(|band| band.relative.as_mut()) {
        relative.median_db += by_db;
    }
}

/// The bands from 2 to 5 kHz have come up by some two decibels since the song's first passes.
fn drifted() -> Drifts {
    let bands = NOMINAL_HZ.iter().map(|hz| match *hz {
        2000.0..=5000.0 => 2.1,
        _ => -0.2,
    });
    let moved = Moved {
        bands_db: bands.map(|db| Some(Db(db))).collect(),
        brighter_db: Some(Db(1.2)),
        common_s: 130.0,
    };
    Drifts { since_rest: None, since_start: Some(moved) }
}

/// Just opened: nothing heard, nothing chosen.
pub(crate) fn just_opened() -> View {
    View::default()
}

/// As [`working`], when the time is up.
pub(crate) fn spent() -> View {
    View { candle: candle(0.0), ..working() }
}

/// As [`working`], half way through the fade.
pub(crate) fn fading() -> View {
    View { candle: candle(0.05), ..working() }
}

/// Figures with as many digits as they can have, and hours of song.
pub(crate) fn wide_figures() -> View {
    let mut song = song();
    song.duration_s = 36_000.0;
    song.integrated = Some(Lufs(-69.9));
    song.range_lu = Some(48.3);
    song.psr_loud = Some(Db(34.4));
    song.plr = Some(Db(101.2));
    song.true_peak_dbtp = Some(Db(-113.6));
    song.health.overs = 72_000;
    song.fold.kept = Some(1e-12);
    let mut records = yardstick(3);
    for (index, record) in records.records.iter_mut().enumerate() {
        record.range_lu = Some(10.1 + 12.0 * index as f64);
        record.fold_db = Some(-10.4 - 10.0 * index as f64);
    }
    let mut view = with_yardstick(song, &records);
    view.short_term = Some(Lufs(-119.8));
    view.fold.kept = Some(1e-11);
    view.correlation = Some(-0.999);
    for point in Arc::make_mut(&mut view.strip) {
        point.song_s *= 200.0;
        point.cell_s = 200.0;
        let lower = |lufs: Lufs| Lufs(lufs.0 - 60.0 * (point.song_s / 44_000.0));
        (point.latest, point.mono) = (point.latest.map(lower), point.mono.map(lower));
    }
    view.playhead_s = Some(23_000.0);
    view
}

/// Everything that can go wrong at once: opposite channels, bands off the scale, overs, aside.
pub(crate) fn faults() -> View {
    let mut song = song();
    lift(&mut song, 1.2);
    for (index, band) in song.bands.iter_mut().enumerate() {
        band.fold.kept = Some(if index % 3 == 0 { 0.0 } else { power(-6.0 - index as f64 * 0.3) });
        if let Some(relative) = band.relative.as_mut().filter(|_| index % 4 == 0) {
            relative.median_db += if index % 8 == 0 { 14.0 } else { -13.0 };
            // These lie off the scale as they are.
            relative.median_db -= if OUTSIDE_HZ.contains(&band.nominal.0) { 1.2 } else { 0.0 };
        }
    }
    song.fold.kept = Some(0.0);
    song.true_peak_dbtp = Some(Db(1.3));
    song.health.overs = 14;
    song.range_lu = Some(2.2);
    let mut view = with_yardstick(song, &yardstick(3));
    view.stage = Stage::Printing;
    // The least of it was meant, so that there is room for the true peak.
    let mut remarks = Remarks::default();
    let records = yardstick(3);
    let given = Given::of_file(&view.song, Some(&records));
    remarks.on(&given);
    remarks.mean("range");
    view.remarks = remarks.on(&given);
    view.fold.kept = Some(0.0);
    view.correlation = Some(-1.0);
    view.aside = true;
    for point in Arc::make_mut(&mut view.strip) {
        point.over = (90.0..96.0).contains(&point.song_s);
        point.aside = (50.0..75.0).contains(&point.song_s);
        point.mono = point.mono.filter(|_| point.song_s > 20.0);
    }
    view
}

/// As [`working`], in a host that gives no position, after a quarter of an hour.
pub(crate) fn by_time() -> View {
    let mut view = working();
    let points = (301..=900).map(f64::from).filter(|song_s| !(560.0..=575.0).contains(song_s));
    let part = |song_s: f64| -20.0 + 2.5 * (song_s * 0.013).sin() + 0.8 * (song_s * 0.31).sin();
    view.strip = points
        .map(|song_s| StripPoint {
            song_s,
            cell_s: 1.0,
            latest: Some(Lufs(part(song_s))),
            mono: Some(Lufs(part(song_s) - 1.1)),
            before: None,
            over: false,
            aside: false,
        })
        .collect();
    view.strip_by_time = true;
    view.playhead_s = Some(900.0);
    view
}

/// Every band loses something in mono, most of them no more than records do.
pub(crate) fn wide() -> View {
    let mut view = working();
    let song = Arc::make_mut(&mut view.song);
    for (index, band) in song.bands.iter_mut().enumerate() {
        let kept = band.fold.kept.unwrap_or(1.0) * power(-0.3 * (1 + index % 4) as f64);
        band.fold = Fold { kept: Some(kept) };
    }
    view
}

/// The controls of a stereo bus with nothing asked for.
pub(crate) fn controls() -> Controls {
    Controls { stereo: true, ..Controls::default() }
}

/// Everything asked for at once.
pub(crate) fn busy_controls() -> Controls {
    let hearing =
        Hearing { what: Hear::MonoRightSpeaker, sounds: true, match_db: Some(-2.4), left_s: Some(41.3) };
    Controls { stereo: true, hearing: Some(hearing), aside_told: false, paused: true, ..Controls::default() }
}
