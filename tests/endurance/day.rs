//! A day with the window open: nothing grows. Every byte that this program holds is counted, so that each test is alone in
//! its process.

use std::alloc::System;

use candlemark_analysis::{Analyzer, Channels, Hertz, Position};
use candlemark_editor::{Choice, Controls, Look, show};
use candlemark_session::candle::{Activity, Candle};
use candlemark_session::desk::Desk;
use candlemark_session::remarks::{Around, Remarks};
use candlemark_session::view::{Meaning, View, WorkedOut};
use candlemark_tests::measured::Heard;
use candlemark_tests::own_process::in_its_own_process;
use egui::{Context, Event, Pos2, RawInput, Rect, pos2, vec2};
use stats_alloc::{INSTRUMENTED_SYSTEM, StatsAlloc};

#[global_allocator]
static COUNTED: &StatsAlloc<System> = &INSTRUMENTED_SYSTEM;

/// Bytes that are held now.
fn held() -> usize {
    let stats = COUNTED.stats();
    stats.bytes_allocated - stats.bytes_deallocated
}

/// Twenty seconds of two tones, of which the last whole second is taken.
fn second() -> Heard {
    let rate = 48_000;
    let mut analyzer =
        Analyzer::new(Hertz(f64::from(rate)), Channels::Stereo).expect("it can be measured at");
    let mut all = Heard::default();
    let tone = |step: f64| -> Vec<f32> {
        (0..20 * rate).map(|n| (0.2 * (f64::from(n) * step).sin()) as f32).collect()
    };
    analyzer.push(&tone(0.031), &tone(0.057), Position::UNKNOWN, &mut all);
    let cell = *all.cells.last().expect("there are whole seconds");
    let readings = all.readings.split_off(all.readings.len() - 10);
    Heard { readings, cells: vec![cell] }
}

/// A host that gives no position, whose sound runs day and night: no cell of it ever comes again.
#[test]
fn a_day_of_sound_without_a_position_is_held_in_as_much_as_five_hours() {
    let name = "day::a_day_of_sound_without_a_position_is_held_in_as_much_as_five_hours";
    in_its_own_process(name, |_| (), play_for_a_day);
}

fn play_for_a_day() {
    let rate = Hertz(48_000.0);
    let Heard { readings, cells } = second();
    let mut desk = Desk::of_song(rate, Channels::Stereo);
    let mut after_five_hours = 0;
    for second in 0..24 * 3600u32 {
        for (tenth, reading) in readings.iter().enumerate() {
            let mut reading = *reading;
            reading.place.pass = 1;
            reading.place.beats = None;
            reading.place.song_s = f64::from(second) + 0.1 * (tenth + 1) as f64;
            desk.take_reading(&reading);
        }
        let mut cell = cells[0];
        cell.index = second.into();
        cell.place.pass = 1;
        cell.start_frame = u64::from(second) * 48_000;
        cell.place.song_s = f64::from(second) + 1.0;
        desk.take_cell(&cell);
        if second == 5 * 3600 {
            after_five_hours = held();
        }
    }
    let (after_a_day, figures) = (held(), desk.figures());
    assert!(desk.is_by_time() && figures.duration_s <= 4.0 * 3600.0 + 1.0, "{}", figures.duration_s);
    let growth = after_a_day as f64 / after_five_hours as f64;
    println!(
        "held after five hours: {after_five_hours} bytes; after a day: {after_a_day} ({growth:.4} times)"
    );
    assert!(growth < 1.01, "{after_five_hours} bytes, then {after_a_day}");
}

/// The window is drawn as it is through a day: a frame for every eight seconds of it, a hand that wanders, figures that
/// never come again.
#[test]
fn a_day_of_frames_holds_as_much_as_an_hour_of_them() {
    in_its_own_process("day::a_day_of_frames_holds_as_much_as_an_hour_of_them", |_| (), draw_for_a_day);
}

fn draw_for_a_day() {
    const FRAMES: u32 = 10_000;
    let Heard { readings, cells } = second();
    let mut desk = Desk::of_song(Hertz(48_000.0), Channels::Stereo);
    for second in 0..120u32 {
        let mut cell = cells[0];
        (cell.index, cell.place.pass) = (second.into(), 1);
        (cell.place.song_s, cell.start_frame) = (f64::from(second) + 1.0, 0);
        desk.take_cell(&cell);
    }
    desk.take_reading(readings.last().expect("there are ten"));
    let (mut remarks, mut candle) = (Remarks::default(), Candle::default());
    let worked_out = WorkedOut::of(&desk);
    let around = Around { candle, ..Around::default() };
    let view = View::of(&desk, worked_out.clone(), Meaning::of(&worked_out, &mut remarks, &around), around);
    let ctx = Context::default();
    let size = vec2(1084.0, 680.0);
    let step_s = 24.0 * 3600.0 / f64::from(FRAMES);
    let mut after_an_hour = 0;
    for frame in 0..FRAMES {
        let activity = if frame % 400 < 300 { Activity::Sound } else { Activity::Quiet };
        candle.advance(step_s, activity);
        let loudness = -20.0 + 5.0 * f64::from(frame).sin();
        let now = View {
            short_term: Some(candlemark_analysis::Lufs(loudness)),
            playhead_s: Some(f64::from(frame % 120)),
            candle,
            ..view.clone()
        };
        let at: Pos2 = pos2((frame * 37 % 1084) as f32, (frame * 53 % 680) as f32);
        let input = RawInput {
            screen_rect: Some(Rect::from_min_size(Pos2::ZERO, size)),
            time: Some(f64::from(frame) * step_s),
            events: vec![Event::PointerMoved(at)],
            ..RawInput::default()
        };
        let look = Look { hint_seen: true, far: frame % 1000 > 900, ..Look::default() };
        let mut output = ctx.run_ui(input, |ui| {
            let _ = show(ui, &now, &Choice::default(), &Controls::default(), look);
        });
        output.textures_delta.clear();
        drop(ctx.tessellate(output.shapes, output.pixels_per_point));
        // Everything has been shown once by then: near and far, pointed at everywhere.
        if frame == FRAMES / 5 {
            after_an_hour = held();
        }
    }
    let after_a_day = held();
    println!("held after a fifth of the day: {after_an_hour} bytes; after it: {after_a_day}");
    assert!(after_a_day < after_an_hour + (256 << 10), "{after_an_hour} bytes, then {after_a_day}");
}
