//! The bus that is measured: an Analyzer that comes and goes with the host's settings, and the tape that
//! stays.

use candlemark_analysis::{Analyzer, Channels, Hertz, Position};
use candlemark_handoff::{Oddity, Orders, TapeWriter};

/// What the audio thread measures with.
pub(crate) struct Bus {
    tape: TapeWriter,
    /// `None` before the host has set the plugin up, and where the sample rate can't be measured at.
    analyzer: Option<Analyzer>,
    channels: Channels,
}

impl Bus {
    pub(crate) fn new(tape: TapeWriter) -> Self {
        Self { tape, analyzer: None, channels: Channels::Stereo }
    }

    /// Makes ready for a sample rate and a channel count. Hosts may prepare several times in a row: with the
    /// same settings the Analyzer stays, and with it the figures of its pass. Not for the audio thread: it allocates.
    pub(crate) fn activate(&mut self, sample_rate: Hertz, channels: Channels) {
        let unchanged = self.channels == channels
            && self.analyzer.as_ref().is_some_and(|analyzer| analyzer.sample_rate() == sample_rate);
        if unchanged {
            return;
        }
        self.channels = channels;
        self.analyzer = Analyzer::new(sample_rate, channels).ok();
        if self.analyzer.is_none() {
            self.tape.oddities().count(Oddity::UnsupportedRate);
        }
        self.tape.activate(sample_rate, channels);
    }

    /// Sound before and sound after have nothing to do with each other.
    pub(crate) fn clear(&mut self) {
        if let Some(analyzer) = &mut self.analyzer {
            analyzer.clear(&mut self.tape);
        }
    }

    /// Does with the pass what was ordered. Realtime safe.
    pub(crate) fn obey(&mut self, orders: &Orders) {
        if let Some(analyzer) = &mut self.analyzer {
            analyzer.set_paused(orders.paused);
            if orders.pass_resets > 0 {
                analyzer.reset_pass();
            }
        }
    }

    /// Counts something that the host did oddly.
    pub(crate) fn count(&self, oddity: Oddity) {
        self.tape.oddities().count(oddity);
    }

    /// Measures a block.
    ///
    /// # Realtime safety
    ///
    /// As [`Analyzer::push`] and the tape: no allocation, no lock, no system call, no panic.
    pub(crate) fn measure(&mut self, block: &[&mut [f32]], position: Position) {
        let (left, right): (&[f32], &[f32]) = match (self.channels, block) {
            (Channels::Stereo, [left, right, ..]) => (left, right),
            (Channels::Mono, [only, ..]) => (only, &[]),
            _ => return self.count(Oddity::MissingChannels),
        };
        if left.is_empty() {
            return self.count(Oddity::EmptyBlock);
        }
        if let Some(analyzer) = &mut self.analyzer {
            analyzer.push(left, right, position, &mut self.tape);
        }
    }
}
