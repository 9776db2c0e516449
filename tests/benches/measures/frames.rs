//! What a frame of the editor costs to lay out and tessellate, of the window as designed, while every figure changes.

use std::sync::Arc;
use std::time::Instant;

use anyhow::{Result, bail};
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
use serde_json::json;

use crate::median;

const FRAMES: usize = 300;
/// The first frames make the fonts' letters.
const WARM_UP: usize = 20;
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
        crest_db: Some(12.0),
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

fn look(far: bool) -> Look {
    Look { hint_seen: true, far, ..Look::default() }
}

/// Draws the frames; `around` is given each but the first ones.
fn draw(look: Look, mut around: impl FnMut(&mut dyn FnMut())) -> Result<()> {
    let ctx = Context::default();
    let choice = Choice { names: vec!["three".into()], in_use: Some("three".into()), ..Choice::default() };
    let controls = Controls { stereo: true, ..Controls::default() };
    for frame in 0..WARM_UP + FRAMES {
        let view = view(frame);
        let input = RawInput {
            screen_rect: Some(Rect::from_min_size(Pos2::ZERO, vec2(1084.0, 680.0))),
            time: Some(frame as f64 / 10.0),
            ..RawInput::default()
        };
        let (mut input, mut drawn) = (Some(input), 0);
        let mut paint = || {
            let Some(input) = input.take() else { return };
            let mut output = ctx.run_ui(input, |ui| drop(show(ui, &view, &choice, &controls, look)));
            let painted = ctx.tessellate(std::mem::take(&mut output.shapes), output.pixels_per_point);
            output.textures_delta.clear();
            drawn = painted.iter().map(|clipped| corners(&clipped.primitive)).sum();
        };
        if frame < WARM_UP {
            paint();
        } else {
            around(&mut paint);
        }
        // A time must not come from an editor that draws nothing.
        if drawn < 1000 {
            bail!("frame {frame} has {drawn} corners");
        }
    }
    Ok(())
}

/// Draws the near view's frames once. For counting instructions.
pub(crate) fn feed() -> Result<()> {
    draw(look(false), |paint| candlemark_one_frame(paint))
}

/// One frame, by a name that Valgrind can tell.
#[inline(never)]
fn candlemark_one_frame(paint: &mut dyn FnMut()) {
    paint();
    std::hint::black_box(());
}

/// Times each frame in every run. The machine interrupts now this one and now that, so a frame counts with its shortest time;
/// told are the median of those and the longest.
pub(crate) fn run(runs: usize) -> Result<()> {
    let mut found = serde_json::Map::new();
    for (name, far) in [("near", false), ("far", true)] {
        let mut shortest_ms = vec![f64::INFINITY; FRAMES];
        for _ in 0..runs {
            let mut frames = shortest_ms.iter_mut();
            draw(look(far), |paint| {
                let begun = Instant::now();
                paint();
                let ms = begun.elapsed().as_secs_f64() * 1000.0;
                if let Some(shortest) = frames.next() {
                    *shortest = shortest.min(ms);
                }
            })?;
        }
        let worst_ms = shortest_ms.iter().copied().fold(0.0, f64::max);
        found.insert(name.to_owned(), json!({ "median_ms": median(&mut shortest_ms), "worst_ms": worst_ms }));
    }
    println!("{}", serde_json::Value::Object(found));
    Ok(())
}
