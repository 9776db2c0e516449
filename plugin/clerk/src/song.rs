//! The song as an instance's tape tells it.

use std::time::{Duration, Instant};

use candlemark_analysis::{Cell, Channels, Hertz, LoudnessHistogram, Reading};
use candlemark_handoff::{Activation, CellFollower, ReadingFollower, TapeReader, TapedCell, TapedReading};
use candlemark_session::candle::Activity;
use candlemark_session::chair::Chair;
use candlemark_session::desk::Desk;
use candlemark_session::lights_out::{Became, LightsOut};
use candlemark_session::view::WorkedOut;

use crate::pace::Pace;
use crate::record_desk::RecordDesk;

/// How often the song's own figures are worked out anew: their work grows with the song.
const FIGURES: Duration = Duration::from_secs(1);

/// Sound that came within so long sounds still: what one round is over, the next is under (ours).
const SOUNDS_ON: Duration = Duration::from_millis(350);

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
    /// What the Desk said of the whole song within the last second.
    pub(crate) worked_out: WorkedOut,
    /// Looks ahead of those that are taken in: how fast they come must be known first.
    ahead: ReadingFollower,
    pub(crate) chair: Chair,
    /// The lights-out pass that runs. Put away, nothing comes of it.
    pub(crate) dark: Option<LightsOut>,
    /// A record plays through the bus, and not the song.
    record: Option<RecordDesk>,
    /// The frame from which on it does, or no longer does; cells over that edge are nobody's.
    since_frame: u64,
    /// The last frame that a reading of this activation told of.
    end_frame: u64,
    /// A lights-out pass is over, which was so long.
    pub(crate) listened_s: Option<f64>,
    /// Something has come that the figures do not tell of yet.
    has_new: bool,
    /// When there was sound last that somebody may have listened to.
    sounded_at: Option<Instant>,
    figures_at: Option<Instant>,
    pace: Pace,
    /// Sound comes faster than time.
    pub(crate) fast: bool,
    /// Readings taken from the tape so far.
    pub(crate) readings_taken: u64,
    /// When the tape was read last.
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
            ahead: tape.readings.follow(),
            chair: Chair::default(),
            dark: None,
            record: None,
            since_frame: 0,
            end_frame: 0,
            listened_s: None,
            has_new: true,
            sounded_at: None,
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
            if let Some(Activation { sample_rate, channels, .. }) = activation.filter(Activation::is_measured)
            {
                self.sit_at_desk_for((sample_rate, channels));
            }
            self.figures_at = None;
            self.has_new = true;
            (self.since_frame, self.end_frame) = (0, 0);
        }
        let passed_s = self
            .read_at
            .replace(now)
            .map_or(0.0, |before| now.saturating_duration_since(before).as_secs_f64());
        if let Some(dark) = &mut self.dark {
            dark.pass(passed_s);
        }
        self.listen_for_sound(now);
        let Some(activation) = activation else { return false };
        let mut came_s = 0.0;
        // Of an activation that came after the one looked at, the first record waits for the next time.
        while let Some(taped) = self.waiting.0.take().or_else(|| self.readings.poll()) {
            if taped.activation == activation {
                let seconds = f64::from(taped.reading.frames) / activation.sample_rate.0;
                self.take_reading(&taped.reading, activation);
                // Nobody hears a render, and not all of them say that they are one.
                if !self.fast {
                    self.chair.listen(&taped.reading, seconds);
                }
                self.follow_the_dark(|dark| dark.take(&taped.reading, seconds));
                self.readings_taken += 1;
                self.has_new = true;
                came_s += seconds;
            } else if taped.activation.number > activation.number {
                self.waiting.0 = Some(taped);
                break;
            }
        }
        while let Some(taped) = self.waiting.1.take().or_else(|| self.cells.poll()) {
            let ahead = taped.activation.wrapping_sub(activation.number as u16);
            if ahead == 0 {
                self.take_cell(&taped.cell, activation);
                self.has_new = true;
            } else if ahead < u16::MAX / 2 {
                self.waiting.1 = Some(taped);
                break;
            }
        }
        if came_s == 0.0 {
            self.follow_the_dark(|dark| dark.be_still(passed_s));
            if !self.sounds(now) {
                self.chair.be_still(passed_s);
            }
        }
        // Of a song that stands still everything has been said.
        if self.has_new && self.figures_at.is_none_or(|at| now.saturating_duration_since(at) >= FIGURES) {
            self.worked_out = WorkedOut::of(&self.desk);
            self.figures_at = Some(now);
            self.has_new = false;
            return true;
        }
        false
    }

    /// While a record plays through, the song's Desk shows the sound and takes nothing of it.
    fn take_reading(&mut self, reading: &Reading, activation: Activation) {
        self.end_frame = reading.end_frame;
        match &mut self.record {
            None => self.desk.take_reading(reading),
            Some(record) => {
                record.take_reading(reading, (activation.sample_rate, activation.channels), self.fast);
                self.desk.show_reading(reading);
            }
        }
    }

    /// Cells come later than the readings of the same sound.
    fn take_cell(&mut self, cell: &Cell, activation: Activation) {
        let is_since = cell.start_frame >= self.since_frame;
        let is_before = cell.start_frame + u64::from(cell.frames) <= self.since_frame;
        match &mut self.record {
            None if is_since => self.desk.take_cell(cell),
            Some(_) if is_before => self.desk.take_cell(cell),
            Some(record) if is_since => {
                record.take_cell(cell, (activation.sample_rate, activation.channels), self.fast);
            }
            _ => {}
        }
    }

    /// From now on a record plays through the bus.
    pub(crate) fn begin_record(&mut self, now: Instant) {
        self.record = Some(RecordDesk::new(now));
        self.since_frame = self.end_frame;
    }

    /// From now on the song plays again. Gives what was measured of the record.
    pub(crate) fn end_record(&mut self) -> Option<RecordDesk> {
        let record = self.record.take()?;
        self.since_frame = self.end_frame;
        self.has_new = true;
        Some(record)
    }

    /// The record that plays through the bus.
    pub(crate) fn record(&self) -> Option<&RecordDesk> {
        self.record.as_ref()
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

    /// Looks for sound that somebody may listen to. An offline render is none: it says so, or it is faster than time.
    fn listen_for_sound(&mut self, now: Instant) {
        let (mut came_s, mut sounds) = (0.0, false);
        while let Some(TapedReading { activation, reading }) = self.ahead.poll() {
            came_s += f64::from(reading.frames) / activation.sample_rate.0;
            let is_loud = reading.short_term_power > LoudnessHistogram::ABSOLUTE_GATE.power();
            sounds |= is_loud && !reading.place.offline;
        }
        self.fast = self.pace.is_fast(came_s, now);
        if self.fast {
            self.sounded_at = None;
        } else if sounds {
            self.sounded_at = Some(now);
        }
    }

    fn sounds(&self, now: Instant) -> bool {
        self.sounded_at.is_some_and(|at| now.saturating_duration_since(at) < SOUNDS_ON)
    }

    /// What goes on; `works` says whether a hand is in the window.
    pub(crate) fn activity(&self, now: Instant, works: bool) -> Activity {
        if self.sounds(now) {
            Activity::Sound
        } else if works {
            Activity::Work
        } else {
            Activity::Quiet
        }
    }

    fn follow_the_dark(&mut self, follow: impl FnOnce(&mut LightsOut) -> Became) {
        if let Some(Became::Over(played_s)) = self.dark.as_mut().map(follow) {
            self.dark = None;
            self.listened_s = Some(played_s);
        }
    }

    /// Another song: nothing has been heard of it yet.
    pub(crate) fn begin_anew(&mut self) {
        self.put_away.clear();
        if let Some((rate, channels)) = self.desk_for {
            self.desk = Desk::of_song(rate, channels);
        }
        self.dark = None;
        self.has_new = true;
        self.figures_at = None;
    }

    /// Whether what sounds is an offline render: the host says so, or it is faster than time.
    pub(crate) fn is_offline(&self) -> bool {
        self.fast || self.desk.last_reading().is_some_and(|reading| reading.place.offline)
    }

    /// The Desk, to tell it something that changes the song.
    pub(crate) fn desk_mut(&mut self) -> &mut Desk {
        self.has_new = true;
        &mut self.desk
    }

    /// What sounds from now on is aside, or no longer.
    pub(crate) fn tell_aside(&mut self, is_aside: bool) {
        self.desk.tell_aside(is_aside);
    }

    pub(crate) fn desk(&self) -> &Desk {
        &self.desk
    }
}

#[cfg(test)]
mod tests;
