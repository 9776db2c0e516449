//! The auditions on the audio thread: whether one sounds in this block, and what it makes of the samples.

use candlemark_analysis::{Hertz, Position};
use candlemark_handoff::{Fader, Moment, OrderReceiver, Orders, Release};

/// What an instance auditions with.
pub(crate) struct Auditions {
    orders: OrderReceiver,
    release: Release,
    fader: Fader,
    sample_rate: Hertz,
    /// The host has set the plugin up, or begun anew with its processing, and no block has come since.
    begun_anew: bool,
    /// The transport ran in the block before.
    played: bool,
}

impl Auditions {
    pub(crate) fn new(orders: OrderReceiver) -> Self {
        Self {
            orders,
            release: Release::default(),
            fader: Fader::default(),
            sample_rate: Hertz(0.0),
            begun_anew: true,
            played: false,
        }
    }

    /// Notes that the host has set the plugin up: whatever was ordered lets go.
    pub(crate) fn activate(&mut self, sample_rate: Hertz) {
        self.sample_rate = sample_rate;
        self.fader.prepare(sample_rate);
        self.begin_anew();
    }

    /// Notes that the sound to come does not go on from the sound before: whatever was ordered lets go. Realtime safe.
    pub(crate) fn begin_anew(&mut self) {
        self.begun_anew = true;
        self.played = false;
    }

    /// The orders as they stand at this block. To be asked once a block.
    pub(crate) fn orders(&mut self) -> Orders {
        self.orders.poll()
    }

    /// Plays a block that has been measured. Without an audition that may sound, no sample is touched.
    ///
    /// # Realtime safety
    ///
    /// One pass over the samples at most: no allocation, no lock, no system call, no panic.
    pub(crate) fn play(
        &mut self,
        block: &mut [&mut [f32]],
        position: &Position,
        records: bool,
        orders: &Orders,
    ) {
        let plays = position.playing == Some(true);
        let played = std::mem::replace(&mut self.played, plays);
        let moment = Moment {
            frames: block.first().map_or(0, |channel| channel.len() as u64),
            sample_rate: self.sample_rate,
            begun_anew: std::mem::take(&mut self.begun_anew),
            transport_started: plays && !played,
            transport_runs: plays,
            prints: position.offline || records,
        };
        let sound = self.release.step(&moment, orders);
        // A mono bus has nothing to audition.
        if let [left, right] = block {
            self.fader.play(sound, self.sample_rate, left, right);
            self.orders.tell(sound.audition);
        }
    }
}
