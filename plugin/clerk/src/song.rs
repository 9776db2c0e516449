//! The song as an instance's tape tells it.

use std::time::{Duration, Instant};

use candlemark_analysis::{Channels, Hertz, LoudnessHistogram};
use candlemark_handoff::{
    Activation, CellFollower, ReadingFollower, TapeReader, TapedCell, TapedReading, TraceFollower,
};
use candlemark_session::candle::Candle;
use candlemark_session::desk::Desk;
use candlemark_session::view::WorkedOut;

use crate::pace::Pace;

/// How often the song's own figures are worked out anew: their work grows with the song.
const FIGURES: Duration = Duration::from_secs(1);

/// A chunk is as long as this or shorter.
const CHUNK_S: f64 = 0.1;

/// A Desk that follows a tape.
pub(crate) struct Song {
    readings: ReadingFollower,
    cells: CellFollower,
    activation: Option<Activation>,
    /// Records that were read before their activation was.
    waiting: (Option<TapedReading>, Option<TapedCell>),
    desk: Desk,
    /// What the Desk was made for; `None` before the host has set the plugin up.
    desk_for: Option<(Hertz, Channels)>,
    put_away: Vec<((Hertz, Channels), Desk)>,
    worked_out: WorkedOut,
    traces: TraceFollower,
    candle: Candle,
    /// Time that has passed and may still burn, in seconds.
    unburnt_s: f64,
    figures_at: Option<Instant>,
    pace: Pace,
    fast: bool,
    /// Readings taken from the tape.
    readings_taken: u64,
    /// When the tape was read last: the candle burns no faster than time passes.
    read_at: Option<Instant>,
}

impl Song {
    /// A Desk that has taken nothing of the tape yet.
    pub(crate) fn new(tape: &TapeReader) -> Self {
        Self {
            readings: tape.readings.follow(),
            cells: tape.cells.follow(),
            activation: None,
            waiting: (None, None),
            desk: Desk::of_song(Hertz(48_000.0), Channels::Stereo),
            desk_for: None,
            put_away: Vec::new(),
            worked_out: WorkedOut::default(),
            traces: tape.traces.follow(),
            candle: Candle::default(),
            unburnt_s: 0.0,
            figures_at: None,
            pace: Pace::default(),
            fast: false,
            readings_taken: 0,
            read_at: None,
        }
    }

    /// Takes what the tape has got since. Gives whether the song's figures have been worked out anew.
    pub(crate) fn catch_up(&mut self, tape: &TapeReader, now: Instant) -> bool {
        let activation = tape.activation();
        if activation != self.activation {
            self.activation = activation;
            if let Some(Activation { sample_rate, channels, measured: true, .. }) = activation {
                self.sit_at_desk_for((sample_rate, channels));
            }
            self.figures_at = None;
        }
        self.burn(now);
        let Some(activation) = activation else { return false };
        // Of an activation that came after the one looked at, the first record waits for the next time.
        while let Some(taped) = self.waiting.0.take().or_else(|| self.readings.poll()) {
            if taped.activation == activation {
                self.desk.take_reading(&taped.reading);
                self.readings_taken += 1;
            } else if taped.activation.number > activation.number {
                self.waiting.0 = Some(taped);
                break;
            }
        }
        while let Some(taped) = self.waiting.1.take().or_else(|| self.cells.poll()) {
            let ahead = taped.activation.wrapping_sub(activation.number as u16);
            if ahead == 0 {
                self.desk.take_cell(&taped.cell);
            } else if ahead < u16::MAX / 2 {
                self.waiting.1 = Some(taped);
                break;
            }
        }
        if self.figures_at.is_none_or(|at| now.saturating_duration_since(at) >= FIGURES) {
            self.worked_out = WorkedOut::of(&self.desk);
            self.figures_at = Some(now);
            return true;
        }
        false
    }

    /// A Desk is made for one sample rate and channel count. Hosts render at another and come back: the Desk of before
    /// is put away meanwhile, with all that was heard.
    fn sit_at_desk_for(&mut self, made_for: (Hertz, Channels)) {
        if self.desk_for == Some(made_for) {
            return;
        }
        let there = self.put_away.iter().position(|(kept_for, _)| *kept_for == made_for);
        let desk = match there {
            Some(index) => self.put_away.swap_remove(index).1,
            None => Desk::of_song(made_for.0, made_for.1),
        };
        let before = std::mem::replace(&mut self.desk, desk);
        if let Some(before_for) = self.desk_for.replace(made_for) {
            self.put_away.push((before_for, before));
        }
    }

    /// The candle burns while sound runs. An offline render is none: it says so, or it is faster than time.
    fn burn(&mut self, now: Instant) {
        let passed =
            self.read_at.replace(now).map_or(Duration::ZERO, |before| now.saturating_duration_since(before));
        let (mut came_s, mut sounded_s) = (0.0, 0.0);
        let rate = self.activation.map_or(Hertz(48_000.0), |activation| activation.sample_rate);
        while let Some(trace) = self.traces.poll() {
            let chunk_s = f64::from(trace.frames) / rate.0;
            came_s += chunk_s;
            let sounds = trace.short_term > LoudnessHistogram::ABSOLUTE_GATE.power();
            if sounds && !trace.offline {
                sounded_s += chunk_s;
            }
        }
        self.fast = self.pace.is_fast(came_s, now);
        if self.fast {
            return;
        }
        // Readings come by tenths of a second: what one round is over, the next is under.
        let may_burn_s = passed.as_secs_f64() + self.unburnt_s;
        let burnt_s = f64::min(sounded_s, may_burn_s);
        self.unburnt_s = (may_burn_s - burnt_s).min(CHUNK_S);
        self.candle.burn(burnt_s);
    }

    /// Gives the song so many seconds.
    pub(crate) fn set_time_s(&mut self, seconds: f64) {
        self.candle.set_budget_s(seconds);
    }

    /// Whether sound comes faster than time.
    pub(crate) fn is_fast(&self) -> bool {
        self.fast
    }

    /// Whether what sounds is an offline render: the host says so, or it is faster than time.
    pub(crate) fn is_offline(&self) -> bool {
        self.fast || self.desk.last_reading().is_some_and(|reading| reading.place.offline)
    }

    /// Readings taken from the tape so far.
    pub(crate) fn readings(&self) -> u64 {
        self.readings_taken
    }

    pub(crate) fn candle(&self) -> Candle {
        self.candle
    }

    pub(crate) fn desk_mut(&mut self) -> &mut Desk {
        &mut self.desk
    }

    pub(crate) fn desk(&self) -> &Desk {
        &self.desk
    }

    /// What the Desk said of the whole song within the last second.
    pub(crate) fn worked_out(&self) -> WorkedOut {
        self.worked_out.clone()
    }
}

#[cfg(test)]
mod tests;
