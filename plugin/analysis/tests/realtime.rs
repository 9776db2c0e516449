//! What the audio thread may rely on: nothing is allocated after construction, and the four hundredth minute
//! costs what the first did.

use assert_no_alloc::{AllocDisabler, assert_no_alloc, permit_alloc};
use candlemark_analysis::{Analyzer, Cell, Channels, Hertz, Lufs, Position, Reading, Sink};

// Aborts the process where `assert_no_alloc` finds an allocation.
#[global_allocator]
static ALLOCATOR: AllocDisabler = AllocDisabler;

/// Keeps the last of what was given, on the stack.
#[derive(Default)]
struct Last {
    reading: Option<Reading>,
    readings: u32,
    cells: u32,
}

impl Sink for Last {
    fn reading(&mut self, reading: &Reading) {
        self.reading = Some(*reading);
        self.readings += 1;
    }

    fn cell(&mut self, _cell: &Cell) {
        self.cells += 1;
    }
}

/// Samples that are even, loud, clipped, no numbers or nothing at all, by turns.
fn sample(n: usize) -> f32 {
    let even = ((n as f32 * 0.137).sin() + (n as f32 * 0.0371).sin()) * 0.3;
    match n / 20_000 % 5 {
        0 | 1 => even,
        2 => (even * 4.0).clamp(-1.0, 1.0),
        3 if n.is_multiple_of(997) => f32::NAN,
        3 => even * 1e-30,
        _ => 0.0,
    }
}

/// Positions of every kind, in an order that jumps.
fn position(block: usize, at: usize, rate: f64) -> Position {
    // 960 quarter notes a minute, so that cells are short.
    let beats = at as f64 * 16.0 / rate;
    let playing = Position { playing: Some(true), ..Position::UNKNOWN };
    match block / 100 % 6 {
        0 => Position::UNKNOWN,
        1 => Position { beats: Some(beats), tempo_bpm: Some(960.0), ..playing },
        2 => Position { beats: Some(beats % 4.0), tempo_bpm: Some(60.0 + block as f64 % 7.0), ..playing },
        3 => Position { playing: Some(false), ..Position::UNKNOWN },
        4 => Position { song_frame: Some(at as i64), preroll: block.is_multiple_of(3), ..playing },
        _ => Position { beats: Some(f64::NAN), tempo_bpm: Some(-1.0), song_frame: Some(i64::MIN), ..playing },
    }
}

#[test]
fn nothing_is_allocated_after_construction() {
    for (rate, channels) in [
        (44_100.0, Channels::Stereo),
        (48_000.0, Channels::Mono),
        (8000.0, Channels::Stereo),
        (384_000.0, Channels::Stereo),
    ] {
        let left: Vec<f32> = (0..1_200_000).map(sample).collect();
        let right: Vec<f32> = (0..1_200_000).map(|n| sample(n + 333)).collect();
        let mut analyzer = Analyzer::new(Hertz(rate), channels).unwrap();
        let mut last = Last::default();
        assert_no_alloc(|| {
            let (mut at, mut block) = (0, 0);
            while at < left.len() {
                let end = (at + [512, 64, 1, 0, 1000, 4096][block % 6]).min(left.len());
                analyzer.push(&left[at..end], &right[at..end], position(block, at, rate), &mut last);
                at = end;
                block += 1;
                match block {
                    200 => analyzer.reset_pass(),
                    300 => analyzer.set_paused(true),
                    310 => analyzer.set_paused(false),
                    320 => analyzer.clear(&mut last),
                    _ => {}
                }
            }
            analyzer.finish(&mut last);
        });
        assert!(
            last.readings > 5 && last.cells > 0,
            "{rate} Hz: {} readings, {} cells",
            last.readings,
            last.cells
        );
    }
}

/// The trap itself: without it the test above would prove nothing.
#[test]
fn the_trap_sees_an_allocation() {
    let inside = assert_no_alloc(|| permit_alloc(|| vec![1u8; 64].len()));
    assert_eq!(inside, 64);
    if std::env::var_os("CANDLEMARK_TEST_ALLOCATES").is_some() {
        assert_no_alloc(|| std::hint::black_box(vec![1u8; 64]));
        return;
    }
    let itself = std::env::current_exe().unwrap();
    let output = std::process::Command::new(itself)
        .args(["--exact", "the_trap_sees_an_allocation"])
        .env("CANDLEMARK_TEST_ALLOCATES", "1")
        .output()
        .unwrap();
    assert!(!output.status.success(), "an allocation went unseen");
}

/// Four hours at 8 kHz: two at −30 LUFS, two at −20. Both pass the relative gate (10 LU under their mean), so the
/// integrated loudness is the mean of their powers, and the range is their distance.
#[test]
fn integrated_and_range_stay_right_over_four_hours() {
    let rate = 8000.0;
    let second = |dbfs: f64| -> Vec<f32> {
        let level = 10f64.powf(dbfs / 20.0);
        (0..8000).map(|n| (level * (n as f64 * std::f64::consts::TAU / 8.0).sin()) as f32).collect()
    };
    let mut analyzer = Analyzer::new(Hertz(rate), Channels::Stereo).unwrap();
    let mut last = Last::default();
    let mut at = 0;
    let mut ends = Vec::new();
    for level in [-30.0, -20.0] {
        let second = second(level);
        for _ in 0..7200 {
            analyzer.push(&second, &second, Position::in_file(at), &mut last);
            at += 8000;
        }
        ends.push(last.reading.unwrap());
    }
    let integrated = |reading: &Reading| Lufs::of_power(reading.pass.integrated_power).unwrap().0;
    let quiet = integrated(&ends[0]);
    let expected = 10.0 * f64::midpoint(10f64.powf(quiet / 10.0), 10f64.powf((quiet + 10.0) / 10.0)).log10();
    assert!((integrated(&ends[1]) - expected).abs() < 0.01, "{} for {expected}", integrated(&ends[1]));
    let range = ends[1].pass.range_lu.unwrap();
    assert!((range - 10.0).abs() < 0.02, "{range}");
    // Passing seconds, whole: 144,000 readings of 100 ms and 14,400 cells, less those still in the bands' delay.
    assert_eq!(last.readings, 144_000);
    assert!((14_396..=14_400).contains(&last.cells), "{}", last.cells);
    assert_eq!(ends[1].pass.seconds, 14_400.0);
}
