//! Where passes begin and end.

use super::{Analyzer, Told};
use crate::cells::FILLED;
use crate::transport::{Clock, Move, follow};
use crate::{Place, Position, Sink};

/// Without a transport, so long under −70 LUFS ends a pass.
const QUIET_CHUNKS: u32 = 50;

impl Analyzer {
    /// Takes note of where a block begins.
    pub(super) fn follow(&mut self, position: &Position, sink: &mut impl Sink) {
        let at = self.measured + self.gathered as u64;
        let told = Told {
            by_sound: position.playing.is_none(),
            preroll: position.preroll,
            offline: position.offline,
        };
        let running = self.clock.is_some();
        let moved = match (told.by_sound, self.told.by_sound) {
            // The host's transport has gone.
            (true, false) if running => Move::Stop,
            // It has come: what sound began ends.
            (false, true) if running => match follow(None, at, position, self.rate.0) {
                Move::On => Move::Stop,
                started => started,
            },
            _ => follow(self.clock.as_ref(), at, position, self.rate.0),
        };
        if moved == Move::On {
            if let Some(clock) = &mut self.clock {
                clock.confirm(at);
            }
            if told == self.told {
                return;
            }
        }
        // What was gathered belongs to the place before.
        self.measure(sink);
        let before = self.place(at);
        let preroll_changed = told.preroll != self.told.preroll;
        self.told = told;
        match moved {
            Move::On if preroll_changed => self.reopen_cell(at, before),
            Move::On => {}
            Move::Retimed(clock) => {
                self.clock = Some(clock);
                if preroll_changed || self.cells.retime(&clock, at) {
                    self.reopen_cell(at, before);
                }
            }
            Move::Start(clock) => self.turn(Some(clock), at, before, sink),
            Move::Stop => self.turn(None, at, before, sink),
        }
    }

    /// Ends the pass that runs, at `before`, and begins that of `clock`, if there is one.
    fn turn(&mut self, clock: Option<Clock>, at: u64, before: Place, sink: &mut impl Sink) {
        self.clock = clock;
        self.peak_since_break = 0.0;
        self.quiet_chunks = 0;
        if clock.is_some() {
            self.pass_number = self.pass_number.saturating_add(1);
        }
        self.cells.mark_border(at);
        self.reopen_cell(at, before);
        if self.slice.frames == 0 {
            self.begin_counting(at, before, sink);
        } else {
            self.broken_at.get_or_insert(before);
        }
    }

    /// Closes the open cell at `before`, and opens the one at frame `at`.
    pub(super) fn reopen_cell(&mut self, at: u64, before: Place) {
        let [_, short_term] = self.loudness_now();
        self.cells.close(at, before, short_term, self.chunks.true_peak(), FILLED);
        if let Some(clock) = self.clock.filter(|_| !self.told.preroll) {
            self.cells.open(&clock, at);
        }
    }

    /// At a slice's border: the pass that has begun (or ended) before it now counts (or does not).
    pub(super) fn begin_counting(&mut self, at: u64, before: Place, sink: &mut impl Sink) {
        // The slice that ends here lies in both.
        self.counting = false;
        if self.chunks.current().frames > 0 {
            self.close_chunk(at, before, sink);
        }
        self.counting = self.clock.is_some();
        if self.counting {
            self.pass.reset();
            self.pass.last_true_peak(self.peak_since_break);
        }
    }

    /// Without a transport: sound above −70 LUFS begins a pass, five seconds under it end it.
    /// `true_peak` is that of the chunk that has ended.
    pub(super) fn follow_sound(
        &mut self,
        at: u64,
        place: Place,
        (sounds, true_peak): (bool, f32),
        sink: &mut impl Sink,
    ) {
        self.quiet_chunks = if sounds { 0 } else { self.quiet_chunks.saturating_add(1) };
        if sounds && self.clock.is_none() {
            let clock = Clock::starting(at, &Position::UNKNOWN, self.rate.0);
            self.turn(Some(clock), at, place, sink);
            self.pass.last_true_peak(true_peak);
        } else if self.clock.is_some() && self.quiet_chunks >= QUIET_CHUNKS {
            self.turn(None, at, place, sink);
        }
    }
}
