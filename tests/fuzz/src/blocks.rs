//! Blocks of sound with rates, jumps and hostile numbers: the measures stay numbers, and are the same however the same
//! sound is cut into blocks.
#![no_main]
#![allow(missing_docs, reason = "the entry point is the fuzzer's")]

use candlemark_analysis::{Analyzer, Cell, Channels, Hertz, Position, Reading, Sink};
use candlemark_session::desk::Desk;
use libfuzzer_sys::arbitrary::{self, Arbitrary};
use libfuzzer_sys::fuzz_target;

/// What a host may do.
#[derive(Arbitrary, Debug)]
enum Step {
    /// Sound, of a kind, from a position.
    Sound { kind: Kind, frames: u16, cut: u8, place: Place },
    /// Readings begin anew.
    Clear,
    /// The pass begins anew.
    ResetPass,
    /// The pass's figures stand still, or go on.
    Paused(bool),
}

#[derive(Arbitrary, Debug)]
enum Kind {
    Silence,
    Noise {
        seed: u32,
        shift: u8,
    },
    /// The same bits again and again, whatever number they are.
    Bits {
        left: u32,
        right: u32,
    },
    Denormals,
}

#[derive(Arbitrary, Debug)]
struct Place {
    playing: Option<bool>,
    song_frame: Option<i64>,
    beats: Option<f64>,
    tempo_bpm: Option<f64>,
    preroll: bool,
    offline: bool,
}

#[derive(Arbitrary, Debug)]
struct Session {
    rate: u32,
    mono: bool,
    steps: Vec<Step>,
}

/// What came out, bit for bit, and the desk that lives on it.
struct Heard {
    told: Vec<String>,
    desk: Desk,
}

impl Sink for Heard {
    fn reading(&mut self, reading: &Reading) {
        let powers = [
            reading.momentary_power,
            reading.short_term_power,
            reading.weighted.left,
            reading.plain.mid,
            reading.true_peak.into(),
        ];
        assert!(powers.iter().all(|power| power.is_finite() && *power >= 0.0), "{powers:?}");
        assert!(reading.place.song_s.is_finite(), "{:?}", reading.place);
        self.told.push(format!("{reading:?}"));
        self.desk.reading(reading);
    }

    fn cell(&mut self, cell: &Cell) {
        assert!((0.0..=1.001).contains(&cell.coverage), "{}", cell.coverage);
        self.told.push(format!("{cell:?}"));
        self.desk.cell(cell);
    }
}

impl Kind {
    fn sound(&self, frames: usize) -> [Vec<f32>; 2] {
        match *self {
            Self::Silence => [vec![0.0; frames], vec![0.0; frames]],
            Self::Bits { left, right } => [left, right].map(|bits| vec![f32::from_bits(bits); frames]),
            Self::Denormals => [vec![f32::from_bits(1); frames], vec![-f32::from_bits(77); frames]],
            Self::Noise { seed, shift } => {
                let mut state = seed | 1;
                let gain = (-f32::from(shift) / 16.0).exp2();
                let mut next = || {
                    state ^= state << 13;
                    state ^= state >> 17;
                    state ^= state << 5;
                    gain * (state as i32 as f32 / i32::MAX as f32)
                };
                let left = (0..frames).map(|_| next()).collect();
                [left, (0..frames).map(|_| next()).collect()]
            }
        }
    }
}

/// Plays a session, each stretch of sound at once or cut in two.
fn play(session: &Session, cut: bool) -> Option<Heard> {
    let rate = Hertz(session.rate.into());
    let channels = if session.mono { Channels::Mono } else { Channels::Stereo };
    let mut analyzer = Analyzer::new(rate, channels).ok()?;
    let mut heard = Heard { told: Vec::new(), desk: Desk::of_song(rate, channels) };
    for step in session.steps.iter().take(24) {
        match step {
            Step::Clear => analyzer.clear(&mut heard),
            Step::ResetPass => analyzer.reset_pass(),
            Step::Paused(paused) => analyzer.set_paused(*paused),
            Step::Sound { kind, frames, cut: at, place } => {
                let frames = usize::from(*frames);
                let [left, right] = kind.sound(frames);
                let position = Position {
                    playing: place.playing,
                    song_frame: place.song_frame,
                    beats: place.beats,
                    tempo_bpm: place.tempo_bpm,
                    preroll: place.preroll,
                    offline: place.offline,
                };
                // Where the host tells beats, the second half's would be reckoned from the tempo: cut only what tells none.
                let at = if cut && place.beats.is_none() { frames * usize::from(*at) / 256 } else { 0 };
                analyzer.push(&left[..at], &right[..at], position, &mut heard);
                let song_frame = place.song_frame.map(|frame| frame.saturating_add(at as i64));
                analyzer.push(&left[at..], &right[at..], Position { song_frame, ..position }, &mut heard);
            }
        }
    }
    analyzer.finish(&mut heard);
    Some(heard)
}

fuzz_target!(|session: Session| {
    if let Some(heard) = play(&session, false) {
        let figures = heard.desk.figures();
        let all =
            [figures.integrated.map(|lufs| lufs.0), figures.true_peak_dbtp.map(|db| db.0), figures.range_lu];
        assert!(all.into_iter().flatten().all(f64::is_finite), "{all:?}");
        let _ = (heard.desk.strip(), heard.desk.drifts());
        let cut = play(&session, true).expect("the same rate again");
        assert!(cut.told == heard.told, "cut in two, the same sound reads otherwise");
    }
});
