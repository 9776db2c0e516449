//! Follows the host's position: tells playback that goes on from a start, a jump and a stop.

use crate::Position;

/// A beat position may differ from what the tempo foretells by this many quarter notes and still be taken as
/// the same, so that one stretch of playback has one clock, however it is cut into blocks.
const SAME_BEATS: f64 = 1e-6;

/// A position may be off by this many seconds before it is a jump: hosts round, and tempo curves are sampled
/// once a block.
const JUMP_S: f64 = 0.005;

/// Tempos that are believed, in quarter notes a minute. Outside there is no music, and no end to a cell.
const TEMPOS: std::ops::RangeInclusive<f64> = 1.0..=10_000.0;

/// Where the song is at every frame of a stretch of playback.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Clock {
    /// The frame (counted from the Analyzer's first) at which the rest holds.
    anchor: u64,
    song_frame: Option<i64>,
    beats: Option<Beats>,
    /// The last frame at which the host told where it was.
    told_at: u64,
    rate_hz: f64,
}

/// A beat position and how it moves.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Beats {
    at_anchor: f64,
    per_frame: f64,
}

/// What a block's position means for the stretch of playback that ran before it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Move {
    /// It goes on.
    On,
    /// It goes on under a new clock: another tempo, or a correction.
    Retimed(Clock),
    /// A new pass begins: playback started, jumped or wrapped.
    Start(Clock),
    /// It ends.
    Stop,
}

impl Clock {
    /// The clock of a pass that begins at frame `at`.
    pub(crate) fn starting(at: u64, position: &Position, rate_hz: f64) -> Self {
        let tempo = position.tempo_bpm.filter(|tempo| TEMPOS.contains(tempo));
        let beats = position.beats.filter(|beats| beats.is_finite()).zip(tempo);
        Self {
            anchor: at,
            song_frame: position.song_frame,
            beats: beats.map(|(beats, tempo)| Beats { at_anchor: beats, per_frame: tempo / 60.0 / rate_hz }),
            told_at: at,
            rate_hz,
        }
    }

    /// The host has told at frame `at` that it goes on.
    pub(crate) fn confirm(&mut self, at: u64) {
        self.told_at = at;
    }

    /// Song position in seconds at `frame`; from the Analyzer's first frame when the host gives none.
    pub(crate) fn song_s(&self, frame: u64) -> f64 {
        match self.song_frame {
            Some(song_frame) => (song_frame as f64 + self.since_anchor(frame)) / self.rate_hz,
            None => frame as f64 / self.rate_hz,
        }
    }

    /// Song position in quarter notes at `frame`, when the host gives beats.
    pub(crate) fn beats(&self, frame: u64) -> Option<f64> {
        self.beats.map(|beats| beats.at_anchor + self.since_anchor(frame) * beats.per_frame)
    }

    pub(crate) fn by_beats(&self) -> bool {
        self.beats.is_some()
    }

    /// Position at `frame` in cells: pairs of quarter notes, or seconds.
    pub(crate) fn cells(&self, frame: u64) -> f64 {
        self.beats(frame).map_or_else(|| self.song_s(frame), |beats| beats / 2.0)
    }

    /// How much of a cell a frame is.
    pub(crate) fn cells_per_frame(&self) -> f64 {
        self.beats.map_or(1.0 / self.rate_hz, |beats| beats.per_frame / 2.0)
    }

    fn since_anchor(&self, frame: u64) -> f64 {
        frame as f64 - self.anchor as f64
    }

    /// What `position` at frame `at` means for a stretch that runs by this clock.
    fn compare(&self, at: u64, position: &Position) -> Move {
        let told = Self::starting(at, position, self.rate_hz);
        match (self.beats(at), self.beats, told.beats) {
            (Some(expected), Some(before), Some(now)) => {
                // A new tempo may have held since any frame of the block before.
                let since_told = at as f64 - self.told_at as f64;
                let at_new_tempo = expected + since_told * (now.per_frame - before.per_frame);
                let slack = JUMP_S * self.rate_hz * before.per_frame.max(now.per_frame);
                let (earliest, latest) =
                    (expected.min(at_new_tempo) - slack, expected.max(at_new_tempo) + slack);
                if !(earliest..=latest).contains(&now.at_anchor) {
                    Move::Start(told)
                } else if (now.at_anchor - expected).abs() > SAME_BEATS || now.per_frame != before.per_frame {
                    Move::Retimed(told)
                } else {
                    Move::On
                }
            }
            (_, None, None) => match (self.song_frame, told.song_frame) {
                (Some(_), Some(now)) => {
                    let expected = self.song_s(at) * self.rate_hz;
                    if (now as f64 - expected).abs() > JUMP_S * self.rate_hz {
                        Move::Start(told)
                    } else {
                        Move::On
                    }
                }
                (None, None) => Move::On,
                _ => Move::Start(told),
            },
            _ => Move::Start(told),
        }
    }
}

/// What a block's position at frame `at` means, when `clock` is the clock of the pass that runs, if one does.
/// Without a transport nothing is meant: sound begins and ends passes then, and the caller sees to it.
pub(crate) fn follow(clock: Option<&Clock>, at: u64, position: &Position, rate_hz: f64) -> Move {
    match (position.playing, clock) {
        (Some(true), Some(clock)) => clock.compare(at, position),
        (Some(true), None) => Move::Start(Clock::starting(at, position, rate_hz)),
        (Some(false), Some(_)) => Move::Stop,
        (Some(false) | None, _) => Move::On,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const RATE: f64 = 48_000.0;

    fn at_beat(beats: f64, tempo: f64) -> Position {
        Position {
            playing: Some(true),
            song_frame: Some((beats * 60.0 / tempo * RATE) as i64),
            beats: Some(beats),
            tempo_bpm: Some(tempo),
            ..Position::UNKNOWN
        }
    }

    #[test]
    fn playback_that_goes_on_is_told_from_a_jump_and_a_tempo_change() {
        let clock = Clock::starting(1000, &at_beat(8.0, 120.0), RATE);
        let follow = |at, position| follow(Some(&clock), at, &position, RATE);
        assert_eq!(follow(25_000, at_beat(9.0, 120.0)), Move::On);
        assert!(matches!(follow(25_000, at_beat(9.001, 120.0)), Move::Retimed(_)));
        assert!(matches!(follow(25_000, at_beat(9.0, 121.0)), Move::Retimed(_)));
        assert!(matches!(follow(25_000, at_beat(4.0, 120.0)), Move::Start(_)));
        assert_eq!(follow(25_000, Position { playing: Some(false), ..at_beat(9.0, 120.0) }), Move::Stop);
    }

    /// A host tells of a tempo change at the next block, wherever in the last one it was.
    #[test]
    fn a_tempo_change_inside_a_block_is_no_jump() {
        let mut clock = Clock::starting(0, &at_beat(0.0, 120.0), RATE);
        clock.confirm(96_000);
        for share in [0.0, 0.5, 1.0] {
            // Two thousand frames, of which this share at 140.
            let beats = 4.0 + 2048.0 / RATE / 60.0 * (120.0 + 20.0 * share);
            let moved = follow(Some(&clock), 98_048, &at_beat(beats, 140.0), RATE);
            assert!(matches!(moved, Move::Retimed(_)), "{share}: {moved:?}");
        }
        let moved = follow(Some(&clock), 98_048, &at_beat(4.2, 140.0), RATE);
        assert!(matches!(moved, Move::Start(_)), "{moved:?}");
    }

    #[test]
    fn a_files_position_goes_on_frame_by_frame() {
        let clock = Clock::starting(0, &Position::in_file(0), RATE);
        assert_eq!(follow(Some(&clock), 480, &Position::in_file(480), RATE), Move::On);
        assert!(matches!(follow(Some(&clock), 480, &Position::in_file(4800), RATE), Move::Start(_)));
        assert_eq!(clock.song_s(96_000), 2.0);
        assert_eq!(clock.cells(96_000), 2.0);
    }

    #[test]
    fn garbage_in_a_position_is_no_clock() {
        let garbage = Position { tempo_bpm: Some(f64::NAN), ..at_beat(4.0, 120.0) };
        assert!(!Clock::starting(0, &garbage, RATE).by_beats());
        let garbage = Position { beats: Some(f64::INFINITY), ..at_beat(4.0, 120.0) };
        assert!(!Clock::starting(0, &garbage, RATE).by_beats());
        for tempo in [0.0, -120.0, f64::MIN_POSITIVE, 1e-14, 0.99, 10_001.0, f64::MAX, f64::INFINITY] {
            assert!(!Clock::starting(0, &at_beat(4.0, tempo), RATE).by_beats(), "{tempo}");
        }
    }
}
