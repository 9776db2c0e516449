//! What a frame costs to lay out and tessellate, of the window as designed, while every figure changes.
//!
//! `cargo test --release -p candlemark-editor --test frame_cost -- --nocapture` prints it.

use std::sync::Arc;
use std::time::{Duration, Instant};

use candlemark_analysis::bands::NOMINAL_HZ;
use candlemark_analysis::{Db, Hertz, Lufs};
use candlemark_editor::{Choice, Controls, Look, show};
use candlemark_session::comparison::Comparison;
use candlemark_session::figures::{BandFigures, Fold, SongFigures, Spread};
use candlemark_session::strip::StripPoint;
use candlemark_session::view::View;
use candlemark_session::yardstick::{Record, RecordBand, Yardstick};
use egui::epaint::Primitive;
use egui::{Context, Pos2, RawInput, Rect, vec2};

const FRAMES: usize = 300;
/// The first frames make the fonts' letters.
const WARM_UP: usize = 20;
/// What a frame may cost in a release build (ours). A debug build is some ten times as slow.
const MOST: Duration =
    if cfg!(debug_assertions) { Duration::from_millis(30) } else { Duration::from_millis(3) };
/// Points of a song of ten minutes.
const POINTS: usize = 600;

/// What moves from frame to frame: −1 to 1.
fn swing(frame: usize, index: usize) -> f64 {
    (frame as f64 * 0.31 + index as f64 * 0.7).sin()
}

fn song(frame: usize) -> SongFigures {
    let bands = NOMINAL_HZ.into_iter().enumerate().map(|(index, hz)| {
        let median_db = -12.0 - 0.3 * index as f64 + 6.0 * swing(frame, index);
        BandFigures {
            nominal: Hertz(hz),
            level: Some(Db(median_db - 20.0)),
            relative: Some(Spread { low_db: median_db - 3.0, median_db, high_db: median_db + 3.0 }),
            fold: Fold { kept: Some(0.55 + 0.45 * swing(frame, index * 3)) },
            correlation: Some(swing(frame, index)),
        }
    });
    SongFigures {
        duration_s: 100.0 + frame as f64,
        gated_s: 100.0,
        integrated: Some(Lufs(-18.0 + swing(frame, 1))),
        range_lu: Some(6.0 + swing(frame, 2)),
        true_peak_dbtp: Some(Db(swing(frame, 3))),
        plr: Some(Db(12.0 + swing(frame, 4))),
        psr_loud: Some(Db(9.0 + swing(frame, 5))),
        fold: Fold { kept: Some(0.7 + 0.1 * swing(frame, 6)) },
        bands: bands.collect(),
        ..SongFigures::default()
    }
}

fn record(bend_db: f64) -> Record {
    let bands = NOMINAL_HZ.into_iter().enumerate().map(|(index, hz)| {
        let relative_db = -12.0 - 0.3 * index as f64 + bend_db;
        RecordBand {
            hz,
            relative_db,
            low_db: relative_db - 3.0,
            high_db: relative_db + 3.0,
            fold_db: Some(-1.0),
        }
    });
    Record {
        title: "a record".into(),
        duration_s: 200.0,
        section: false,
        integrated_lufs: -14.0,
        range_lu: Some(6.0),
        true_peak_dbtp: Some(-1.0),
        plr_db: Some(12.0),
        psr_loud_db: Some(9.0),
        fold_db: Some(-1.0),
        correlation: Some(0.5),
        bands: bands.collect(),
    }
}

fn view(frame: usize) -> View {
    let song = song(frame);
    let records = [-1.5, 0.0, 1.5].map(record).into();
    let yardstick = Yardstick { name: "three".into(), records };
    let strip = (0..POINTS).map(|index| StripPoint {
        song_s: index as f64 + 1.0,
        cell_s: 1.0,
        latest: Some(Lufs(-18.0 + 3.0 * swing(frame, index))),
        mono: Some(Lufs(-20.0 + 3.0 * swing(frame, index))),
        before: Some(Lufs(-19.0 + 3.0 * swing(frame, index + 1))),
        over: index % 50 == 0,
        aside: (200..240).contains(&index),
    });
    View {
        short_term: Some(Lufs(-18.0 + 2.0 * swing(frame, 7))),
        integrated: Some(Lufs(-18.0)),
        fold: Fold { kept: Some(0.8) },
        correlation: Some(swing(frame, 8)),
        comparison: Some(Comparison::new(&song, &yardstick)),
        strip: strip.collect(),
        playhead_s: Some(frame as f64),
        song: Arc::new(song),
        ..View::default()
    }
}

fn corners(primitive: &Primitive) -> usize {
    match primitive {
        Primitive::Mesh(mesh) => mesh.vertices.len(),
        Primitive::Callback(_) => 0,
    }
}

/// Median and worst time of a frame.
fn costs(look: Look) -> [Duration; 2] {
    let ctx = Context::default();
    let choice = Choice { names: vec!["three".into()], in_use: Some("three".into()), ..Choice::default() };
    let controls = Controls { stereo: true, ..Controls::default() };
    let mut times: Vec<Duration> = Vec::new();
    for frame in 0..WARM_UP + FRAMES {
        let view = view(frame);
        let input = RawInput {
            screen_rect: Some(Rect::from_min_size(Pos2::ZERO, vec2(1084.0, 680.0))),
            time: Some(frame as f64 / 10.0),
            ..RawInput::default()
        };
        let begun = Instant::now();
        let mut output = ctx.run_ui(input, |ui| drop(show(ui, &view, &choice, &controls, look)));
        let shapes = std::mem::take(&mut output.shapes);
        let painted = ctx.tessellate(shapes, output.pixels_per_point);
        let took = begun.elapsed();
        output.textures_delta.clear();
        let corners: usize = painted.iter().map(|clipped| corners(&clipped.primitive)).sum();
        assert!(corners > 1000, "there is a picture");
        if frame >= WARM_UP {
            times.push(took);
        }
    }
    times.sort_unstable();
    [times[FRAMES / 2], times[FRAMES - 1]]
}

#[test]
fn a_frame_is_laid_out_and_tessellated_in_its_time() {
    let near = Look { hint_seen: true, ..Look::default() };
    for (name, look) in [("near", near), ("far", Look { far: true, ..near })] {
        let [median, worst] = costs(look);
        println!(
            "{name}: median {median:.2?}, worst {worst:.2?} of {FRAMES} frames, at most {MOST:?} is the goal"
        );
        assert!(median <= MOST, "{name}: a frame takes {median:?}");
    }
}
