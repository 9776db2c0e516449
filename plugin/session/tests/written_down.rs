//! A View that is written down and read back is the same View, and every number in it says its unit.

use candlemark_analysis::{Db, Hertz, Lufs};
use candlemark_session::as_heard::as_heard;
use candlemark_session::candle::Candle;
use candlemark_session::chair::{AtChair, ChairLevel, Knob};
use candlemark_session::comparison::{BandComparison, Comparison, RecordFigures};
use candlemark_session::drift::{Drifts, Moved};
use candlemark_session::ear_match::EarMatch;
use candlemark_session::elsewhere::{Elsewhere, Playback};
use candlemark_session::figures::{
    BandFigures, FallsAway, Fold, Health, LowEnd, OneSided, SilentSide, SongFigures, Spread, WorstFold,
};
use candlemark_session::lights_out::{Dark, Listen};
use candlemark_session::octave_groups::{GroupComparison, OctaveGroup};
use candlemark_session::pencil::{MetersRead, PencilMark, SongPlace};
use candlemark_session::remarks::{Evidence, Figure, Remark, Stage, Urgency};
use candlemark_session::strip::StripPoint;
use candlemark_session::view::View;
use serde_json::Value;

/// The ends of keys that are units.
const UNITS: [&str; 10] = ["lufs", "lu", "db", "dba", "dbtp", "dbfs", "hz", "s", "share", "beats"];

/// Numbers that have no unit, with the reason.
const WITHOUT_UNIT: [(&str, &str); 12] = [
    ("correlation", "from −1 to 1"),
    ("kept", "a ratio from 0 to 1"),
    ("dc_left", "full scale is 1"),
    ("dc_right", "full scale is 1"),
    ("clipped_runs", "a count"),
    ("overs", "a count"),
    ("non_finite", "a count"),
    ("records", "a count"),
    ("marks", "a count"),
    ("put_off", "a count"),
    ("number", "a number in a row"),
    ("listen", "a number in a row"),
];

/// Figures with as many digits as a number can have, each another.
struct Figures(f64);

impl Figures {
    fn next(&mut self) -> f64 {
        self.0 = (self.0 * 1.37 + 0.1).rem_euclid(91.0);
        self.0 - 40.0
    }

    fn lufs(&mut self) -> Lufs {
        Lufs(self.next())
    }

    fn db(&mut self) -> Db {
        Db(self.next())
    }

    fn fold(&mut self) -> Fold {
        Fold { kept: Some(self.next().abs() / 91.0) }
    }

    fn range(&mut self) -> [f64; 2] {
        [self.next(), self.next()]
    }

    fn falls(&mut self) -> FallsAway {
        FallsAway {
            bands_hz: [80.0, 125.0],
            fold: self.fold(),
            at_s: Some(self.next()),
            until_s: Some(self.next()),
        }
    }

    fn remarks(&mut self) -> Vec<Remark> {
        let figures = [
            Figure::Length(self.next()),
            Figure::Correlation(self.next() / 51.0),
            Figure::Fold(Some(self.db())),
            Figure::OutsideShare(self.next().abs() / 51.0),
            Figure::Off(Db(self.next())),
            Figure::PsrLoud(Db(self.next())),
            Figure::ClippedRuns(5),
            Figure::TruePeak(Db(self.next())),
            Figure::Dc(Db(self.next())),
            Figure::NonFinite(3),
            Figure::Worked(self.next()),
            Figure::OverMeant(Db(self.next())),
            Figure::Moved(Db(self.next())),
            Figure::Range(self.next()),
            Figure::Kept(Db(self.next())),
            Figure::Imbalance(Db(self.next())),
        ];
        let remark = |figure| Remark {
            id: "low-end-fold".into(),
            text: "80–125 Hz falls away.".into(),
            urgency: Urgency::Lost,
            evidence: Evidence { figure, bands_hz: Some([80.0, 125.0]), at_s: Some(134.25) },
        };
        figures.map(remark).to_vec()
    }

    fn song(&mut self) -> SongFigures {
        let band = BandFigures {
            nominal: Hertz(31.5),
            level: Some(self.db()),
            relative: Some(Spread { low_db: self.next(), median_db: self.next(), high_db: self.next() }),
            fold: self.fold(),
            correlation: Some(self.next() / 51.0),
        };
        SongFigures {
            duration_s: self.next(),
            gated_s: self.next(),
            integrated: Some(self.lufs()),
            momentary_max: Some(self.lufs()),
            short_term_max: Some(self.lufs()),
            range_lu: Some(self.next()),
            true_peak_dbtp: Some(self.db()),
            sample_peak_dbfs: Some(self.db()),
            plr: Some(self.db()),
            psr_loud: Some(self.db()),
            crest: Some(self.db()),
            fold: self.fold(),
            fold_worst: Some(WorstFold { fold: self.fold(), at_s: self.next() }),
            correlation: Some(self.next() / 51.0),
            low_end: Some(LowEnd {
                fold: self.fold(),
                above_fold: self.fold(),
                power_share: self.next().abs() / 51.0,
                falls: self.falls(),
            }),
            cancels: vec![self.falls(), self.falls()],
            bands: vec![band, BandFigures { nominal: Hertz(1000.0), ..band }],
            health: Health {
                dc_left: self.next() * 1e-9,
                dc_right: self.next() * 1e-300,
                clipped_runs: u64::MAX,
                clipped_at_s: Some(self.next()),
                overs: 3,
                over_at_s: Some(self.next()),
                imbalance: Some(self.db()),
                silent_side: Some(SilentSide::Right),
                one_sided: Some(OneSided {
                    silent: SilentSide::Left,
                    length_s: self.next(),
                    at_s: self.next(),
                }),
                non_finite: 7,
                non_finite_at_s: Some(self.next()),
            },
        }
    }

    fn comparison(&mut self) -> Comparison {
        let band = BandComparison {
            nominal: Hertz(12500.0),
            off_db: self.next(),
            low_db: self.next(),
            high_db: self.next(),
            within_low_db: self.next(),
            within_high_db: self.next(),
            fold_low_db: Some(self.next()),
            records: 3,
            outside: true,
        };
        let group = GroupComparison {
            group: OctaveGroup::UpperMids,
            off_db: self.next(),
            low_db: self.next(),
            high_db: self.next(),
            outside: true,
        };
        Comparison {
            name: "folk, “three” records\n".into(),
            records: 3,
            distance_db: Some(self.next()),
            figures: RecordFigures {
                range_lu: Some(self.range()),
                psr_loud_db: Some(self.range()),
                crest_db: Some(self.range()),
                plr_db: Some(self.range()),
                fold_db: Some(self.range()),
            },
            bands: vec![band],
            groups: vec![group],
        }
    }

    fn moved(&mut self) -> Moved {
        Moved {
            bands_db: vec![Some(self.db()), Some(self.db())],
            brighter_db: Some(self.db()),
            common_s: self.next(),
        }
    }

    fn chair(&mut self) -> ChairLevel {
        ChairLevel {
            knob: Knob::Normal,
            now_dba: Some(self.next()),
            averaged_dba: Some(self.next()),
            plus_minus_db: self.next(),
            listened_s: self.next(),
            niosh_day_share: self.next(),
            who_week_share: self.next(),
            over_meant_db: Some(self.next()),
        }
    }

    fn pencil_mark(&mut self) -> PencilMark {
        PencilMark {
            number: 2,
            listen: 1,
            made_unix_s: self.next(),
            at: SongPlace { song_s: self.next(), beats: Some(self.next()) },
            read: MetersRead {
                short_term: Some(self.lufs()),
                true_peak_dbtp: Some(self.db()),
                fold: self.fold(),
                correlation: Some(self.next() / 51.0),
            },
            note: "the bridge drags".into(),
            dealt_with: true,
        }
    }

    fn listen(&mut self) -> Listen {
        Listen {
            number: 1,
            ended_unix_s: self.next(),
            played_s: self.next(),
            integrated: Some(self.lufs()),
            range_lu: Some(self.next()),
            true_peak_dbtp: Some(self.db()),
            psr_loud: Some(self.db()),
            fold: Some(self.db()),
        }
    }

    fn view(&mut self) -> View {
        let mut candle = Candle::default();
        candle.burn(self.next().abs());
        View {
            momentary: Some(self.lufs()),
            short_term: Some(self.lufs()),
            integrated: Some(self.lufs()),
            range_lu: Some(self.next()),
            true_peak_dbtp: Some(self.db()),
            psr: Some(self.db()),
            fold: self.fold(),
            correlation: Some(self.next() / 51.0),
            song: self.song().into(),
            comparison: Some(self.comparison()),
            ear_match: Some(EarMatch::RecordsDown { by_db: [self.next(), self.next()] }),
            remarks: self.remarks(),
            strip: [StripPoint {
                song_s: self.next(),
                cell_s: self.next(),
                latest: Some(self.lufs()),
                mono: Some(self.lufs()),
                before: Some(self.lufs()),
                over: true,
                aside: false,
            }]
            .into(),
            drifts: Drifts { since_rest: Some(self.moved()), since_start: Some(self.moved()) }.into(),
            strip_by_time: true,
            playhead_s: Some(self.next()),
            aside: true,
            stage: Stage::Printing,
            candle,
            song_name: Some("Low Water".into()),
            elsewhere: vec![Elsewhere {
                playback: Playback::ThinSpeaker,
                kept_db: Some(self.next()),
                records_db: Some(self.range()),
            }],
            at_chair: AtChair::Level(self.chair()),
            as_heard: Some(as_heard(self.next().abs())),
            room_doubt_hz: vec![40.0, 63.0],
            pencil: [self.pencil_mark()].into(),
            listens: [self.listen()].into(),
            dark: Some(Dark { waits: false, marks: 3 }),
            trouble: Some("Nothing is measured.".into()),
        }
    }
}

fn written(view: &View) -> String {
    serde_json::to_string(view).expect("a view can be written down")
}

/// Keys whose number says no unit; the items of a list go by the list's key.
fn without_unit(key: &str, value: &Value, found: &mut Vec<String>) {
    match value {
        Value::Number(_) => {
            let end = key.rsplit('_').next().unwrap_or(key);
            if !UNITS.contains(&end) && !WITHOUT_UNIT.iter().any(|(known, _)| *known == key) {
                found.push(key.to_owned());
            }
        }
        Value::Array(values) => values.iter().for_each(|value| without_unit(key, value, found)),
        Value::Object(pairs) => pairs.iter().for_each(|(key, value)| without_unit(key, value, found)),
        _ => {}
    }
}

#[test]
fn what_is_read_back_is_what_was_written_to_the_last_digit() {
    for seed in 0..200 {
        let view = Figures(f64::from(seed) / 7.0).view();
        let text = written(&view);
        let back: View = serde_json::from_str(&text).expect("a view can be read");
        assert_eq!(back, view);
        assert_eq!(written(&back), text);
    }
}

#[test]
fn a_view_of_nothing_is_read_back_too() {
    let text = written(&View::default());
    let back: View = serde_json::from_str(&text).expect("a view can be read");
    assert_eq!(back, View::default());
    assert_eq!(written(&back), text);
}

#[test]
fn every_number_says_its_unit() {
    let text = written(&Figures(1.0).view());
    assert!(!text.contains("null"), "a figure is left out of this test: {text}");
    let mut found = Vec::new();
    without_unit("", &serde_json::from_str(&text).unwrap(), &mut found);
    assert!(found.is_empty(), "{found:?}");
}

#[test]
fn a_number_without_a_unit_is_found() {
    let mut found = Vec::new();
    let bad = serde_json::json!({ "a": { "loudness": 1.0, "level_db": 2.0 }, "peaks": [[3.0, 4]] });
    without_unit("", &bad, &mut found);
    assert_eq!(found, ["loudness", "peaks", "peaks"]);
}
