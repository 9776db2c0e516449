//! A record that plays through the mix's own bus, measured at a Desk of its own.

use std::time::{Duration, Instant};

use candlemark_analysis::{Cell, Channels, Hertz, LoudnessHistogram, Reading};
use candlemark_session::desk::Desk;
use candlemark_session::figures::SongFigures;

/// A taking that nobody ends, ends by itself after so long, in seconds (ours): longer than nearly any record, and short
/// enough that what is forgotten costs nothing.
pub(crate) const LONGEST_S: f64 = 900.0;

/// For what rate and how many channels a Desk is made.
type MadeFor = (Hertz, Channels);

/// A Desk at which a record is measured. What comes at another rate, or in an offline render, is not of it.
pub(crate) struct RecordDesk {
    desk: Option<(MadeFor, Desk)>,
    begun: Instant,
    /// What was taken, and how much of it was louder than the absolute gate.
    heard_s: f64,
    sound_s: f64,
}

impl RecordDesk {
    pub(crate) fn new(now: Instant) -> Self {
        Self { desk: None, begun: now, heard_s: 0.0, sound_s: 0.0 }
    }

    /// Takes in a reading; `fast` says that sound comes faster than time.
    pub(crate) fn take_reading(&mut self, reading: &Reading, made_for: MadeFor, fast: bool) {
        if fast || reading.place.offline {
            return;
        }
        let Some(desk) = self.desk_for(made_for) else { return };
        desk.take_reading(reading);
        let seconds = f64::from(reading.frames) / made_for.0.0;
        self.heard_s += seconds;
        if reading.weighted.total(reading.channels) > LoudnessHistogram::ABSOLUTE_GATE.power() {
            self.sound_s += seconds;
        }
    }

    /// Takes in a cell.
    pub(crate) fn take_cell(&mut self, cell: &Cell, made_for: MadeFor, fast: bool) {
        if !fast
            && !cell.place.offline
            && let Some(desk) = self.desk_for(made_for)
        {
            desk.take_cell(cell);
        }
    }

    /// The Desk, where it is made for this; the first sound says what for.
    fn desk_for(&mut self, made_for: MadeFor) -> Option<&mut Desk> {
        let new = || (made_for, Desk::of_song(made_for.0, made_for.1));
        let (kept_for, desk) = self.desk.get_or_insert_with(new);
        (*kept_for == made_for).then_some(desk)
    }

    /// Seconds of sound above −70 LUFS so far.
    pub(crate) fn sound_s(&self) -> f64 {
        self.sound_s
    }

    /// It has gone on for as long as it may.
    pub(crate) fn is_over(&self, now: Instant) -> bool {
        let waited = now.saturating_duration_since(self.begun);
        self.heard_s >= LONGEST_S || waited >= Duration::from_secs_f64(LONGEST_S)
    }

    /// What the record measures so far.
    pub(crate) fn figures(&self) -> SongFigures {
        self.desk.as_ref().map(|(_, desk)| desk.figures()).unwrap_or_default()
    }
}

#[cfg(test)]
mod tests {
    use candlemark_analysis::{Analyzer, Position, Sink};

    use super::*;

    const MADE_FOR: MadeFor = (Hertz(48_000.0), Channels::Stereo);

    struct Into<'a>(&'a mut RecordDesk, MadeFor, bool);

    impl Sink for Into<'_> {
        fn reading(&mut self, reading: &Reading) {
            self.0.take_reading(reading, self.1, self.2);
        }

        fn cell(&mut self, cell: &Cell) {
            self.0.take_cell(cell, self.1, self.2);
        }
    }

    /// Seconds of a tone of this amplitude.
    fn play(
        record: &mut RecordDesk,
        seconds: usize,
        amplitude: f32,
        offline: bool,
        made_for: MadeFor,
        fast: bool,
    ) {
        let mut analyzer = Analyzer::new(made_for.0, made_for.1).unwrap();
        for block in 0..seconds * 10 {
            let tone: Vec<f32> =
                (0..4800).map(|n| amplitude * ((block * 4800 + n) as f32 * 0.131).sin()).collect();
            let position = Position { offline, ..Position::in_file((block * 4800) as i64) };
            analyzer.push(&tone, &tone, position, &mut Into(record, made_for, fast));
        }
    }

    #[test]
    fn what_sounds_is_counted_and_silence_is_not() {
        let mut record = RecordDesk::new(Instant::now());
        play(&mut record, 10, 0.1, false, MADE_FOR, false);
        let sound_s = record.sound_s();
        assert!((9.0..=10.0).contains(&sound_s), "{sound_s}");
        play(&mut record, 5, 0.0, false, MADE_FOR, false);
        assert!(record.sound_s() - sound_s <= 1.0);
    }

    #[test]
    fn renders_and_other_rates_are_not_of_the_record() {
        let mut record = RecordDesk::new(Instant::now());
        play(&mut record, 5, 0.1, true, MADE_FOR, false);
        play(&mut record, 5, 0.1, false, MADE_FOR, true);
        assert_eq!((record.sound_s(), record.figures().integrated), (0.0, None));
        play(&mut record, 5, 0.1, false, MADE_FOR, false);
        let (sound_s, figures) = (record.sound_s(), record.figures());
        play(&mut record, 5, 0.1, false, (Hertz(44_100.0), Channels::Stereo), false);
        assert_eq!((record.sound_s(), record.figures().integrated), (sound_s, figures.integrated));
        assert!(figures.integrated.is_some());
    }

    #[test]
    fn it_ends_after_a_quarter_of_an_hour_of_sound_or_of_waiting() {
        let begun = Instant::now();
        let mut record = RecordDesk::new(begun);
        assert!(!record.is_over(begun + Duration::from_secs(899)));
        assert!(record.is_over(begun + Duration::from_mins(15)));
        play(&mut record, 899, 0.1, false, MADE_FOR, false);
        assert!(!record.is_over(begun));
        play(&mut record, 2, 0.1, false, MADE_FOR, false);
        assert!(record.is_over(begun));
    }
}
