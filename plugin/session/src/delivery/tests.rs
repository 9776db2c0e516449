use candlemark_analysis::{Channels, Db, Hertz, Lufs};

use super::*;
use crate::edges::Silence;
use crate::figures::{Fold, SongFigures};

fn song() -> SongFigures {
    SongFigures {
        duration_s: 90.0,
        integrated: Some(Lufs(-16.0)),
        momentary_max: Some(Lufs(-12.0)),
        short_term_max: Some(Lufs(-13.0)),
        range_lu: Some(6.0),
        true_peak_dbtp: Some(Db(-1.5)),
        sample_peak_dbfs: Some(Db(-1.6)),
        fold: Fold { kept: Some(0.5) },
        ..SongFigures::default()
    }
}

fn file(song: &SongFigures) -> Finished<'_> {
    Finished {
        song,
        sample_rate: Hertz(48_000.0),
        channels: Channels::Stereo,
        bit_depth: Some(24),
        silence: Some(Silence { head_s: 0.25, tail_s: 2.0 }),
        is_whole: true,
    }
}

fn reach(lowest: Option<f64>, highest: Option<f64>) -> Limit {
    Limit { lowest, highest, one_of: Vec::new() }
}

fn one_of(one_of: &[f64]) -> Limit {
    Limit { one_of: one_of.to_vec(), ..Limit::default() }
}

#[test]
fn a_limit_holds_up_to_itself_and_the_distance_is_from_there() {
    let song = song();
    let file = file(&song);
    for (limit, verdict, distance) in [
        (reach(Some(-16.0), Some(-16.0)), Verdict::Held, 0.0),
        (reach(None, Some(-16.5)), Verdict::NotHeld, 0.5),
        (reach(Some(-14.0), None), Verdict::NotHeld, -2.0),
        (reach(Some(-17.0), Some(-15.0)), Verdict::Held, 0.0),
    ] {
        let line = Line::new(Figure::IntegratedLufs, &limit, &file);
        assert_eq!(
            (line.verdict, line.distance, line.value),
            (verdict, Some(distance), Some(-16.0)),
            "{limit:?}"
        );
    }
    let rates = Line::new(Figure::SampleRateHz, &one_of(&[44_100.0, 96_000.0]), &file);
    assert_eq!((rates.verdict, rates.distance), (Verdict::NotHeld, Some(3_900.0)));
    assert_eq!(Line::new(Figure::BitDepth, &one_of(&[16.0, 24.0]), &file).verdict, Verdict::Held);
}

#[test]
fn every_figure_is_read_from_its_own_place() {
    let mut song = song();
    song.health.clipped_runs = 7;
    let file = file(&song);
    let expected = [-16.0, -13.0, -12.0, 6.0, -1.5, -3.0103, 7.0, 0.25, 2.0, 48_000.0, 24.0, 2.0];
    for (figure, expected) in Figure::ALL.into_iter().zip(expected) {
        let value = Line::new(figure, &reach(Some(figure.possible()[0]), None), &file).value.unwrap();
        assert!((value - expected).abs() < 1e-4, "{figure:?} is {value}");
    }
}

#[test]
fn what_a_file_does_not_have_can_not_be_told() {
    let silent = SongFigures { duration_s: 90.0, ..SongFigures::default() };
    let short = SongFigures { integrated: None, momentary_max: None, duration_s: 0.3, ..song() };
    let quiet = SongFigures { integrated: None, ..song() };
    let brief = SongFigures { duration_s: 59.9, ..song() };
    let any = |figure: Figure| reach(Some(figure.possible()[0]), None);
    for (song, figure, why) in [
        (&silent, Figure::IntegratedLufs, Unknown::Silent),
        (&silent, Figure::TruePeakDbtp, Unknown::Silent),
        (&silent, Figure::FoldDb, Unknown::Silent),
        (&short, Figure::IntegratedLufs, Unknown::TooShort),
        (&quiet, Figure::IntegratedLufs, Unknown::Silent),
        (&brief, Figure::RangeLu, Unknown::TooShort),
    ] {
        let song = SongFigures {
            fold: if song.integrated.is_some() { song.fold } else { Fold::default() },
            ..song.clone()
        };
        let line = Line::new(figure, &any(figure), &file(&song));
        assert_eq!((line.verdict, line.why), (Verdict::CantTell, Some(why)), "{figure:?}");
    }
    let song = song();
    let coded = Finished { bit_depth: None, silence: None, ..file(&song) };
    assert_eq!(Line::new(Figure::BitDepth, &any(Figure::BitDepth), &coded).why, Some(Unknown::NoSuchThing));
    assert_eq!(Line::new(Figure::HeadS, &any(Figure::HeadS), &coded).why, Some(Unknown::Silent));
}

#[test]
fn of_a_part_of_a_file_only_what_the_rest_can_not_mend_is_told() {
    let song = song();
    let part = Finished { is_whole: false, ..file(&song) };
    let verdict = |figure, limit: Limit| Line::new(figure, &limit, &part).verdict;
    assert_eq!(verdict(Figure::TruePeakDbtp, reach(None, Some(-2.0))), Verdict::NotHeld);
    assert_eq!(verdict(Figure::TruePeakDbtp, reach(None, Some(-1.0))), Verdict::CantTell);
    assert_eq!(verdict(Figure::TruePeakDbtp, reach(Some(-1.0), None)), Verdict::CantTell);
    assert_eq!(verdict(Figure::IntegratedLufs, reach(None, Some(-20.0))), Verdict::CantTell);
    assert_eq!(verdict(Figure::Channels, one_of(&[2.0])), Verdict::Held);
}

#[test]
fn what_is_lost_in_mono_lies_under_every_floor() {
    let song = SongFigures { fold: Fold { kept: Some(0.0) }, ..song() };
    let line = Line::new(Figure::FoldDb, &reach(Some(-6.0), None), &file(&song));
    assert_eq!((line.verdict, line.value, line.distance), (Verdict::NotHeld, None, None));
    assert_eq!(line.words(), "mono fold lost in mono, asked for −6 or more");
}

#[test]
fn lines_read_as_they_are_spoken() {
    let song = song();
    let file = file(&song);
    for (figure, limit, words) in [
        (
            Figure::IntegratedLufs,
            reach(Some(-23.2), Some(-22.8)),
            "loudness −16.00 LUFS, asked for −23.2 to −22.8: 6.80 LU over",
        ),
        (Figure::TruePeakDbtp, reach(None, Some(-1.0)), "true peak −1.50 dBTP, asked for −1 or less"),
        (
            Figure::TruePeakDbtp,
            reach(None, Some(-1.502)),
            "true peak −1.50 dBTP, asked for −1.502 or less: a hair over",
        ),
        (Figure::ClippedRuns, reach(None, Some(0.0)), "clips of three samples or more 0, asked for none"),
        (
            Figure::SampleRateHz,
            one_of(&[44_100.0, 96_000.0]),
            "sample rate 48000 Hz, asked for 44100 or 96000: 3900 Hz over",
        ),
        (Figure::TailS, reach(Some(3.0), None), "silence after 2.00 s, asked for 3 or more: 1.00 s under"),
    ] {
        assert_eq!(Line::new(figure, &limit, &file).words(), words);
    }
}

#[test]
fn a_limit_asks_in_one_way_and_for_something() {
    let both = Limit { highest: Some(-1.0), ..one_of(&[-2.0]) };
    for (limit, expected) in [
        (Limit::default(), Err(BadLimit::Empty)),
        (both, Err(BadLimit::TwoWays)),
        (reach(Some(-1.0), Some(-2.0)), Err(BadLimit::Crossed)),
        (reach(Some(-2.0), Some(-2.0)), Ok(())),
        (one_of(&[-2.0, -1.0]), Ok(())),
    ] {
        assert_eq!(limit.check(Figure::TruePeakDbtp), expected, "{limit:?}");
    }
}
