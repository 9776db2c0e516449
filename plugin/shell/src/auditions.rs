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
        match block {
            [left, right] => {
                self.fader.play(sound, left, right);
                self.orders.tell(sound.audition);
            }
            [only] => {
                let played = self.fader.play_mono(sound, only);
                self.orders.tell(played);
            }
            _ => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use candlemark_analysis::Channels;
    use candlemark_handoff::{Audition, OrderSender, Tape, TapeReader, orders};

    use super::*;
    use crate::bus::Bus;

    const RATE: Hertz = Hertz(48_000.0);
    /// 10 ms.
    const BLOCK: usize = 480;
    const STANDS: Position = Position { playing: Some(false), ..Position::UNKNOWN };
    const RUNS: Position = Position { playing: Some(true), ..Position::UNKNOWN };

    /// An instance as the host drives it.
    struct Instance {
        sender: OrderSender,
        auditions: Auditions,
        bus: Bus,
        tape: TapeReader,
    }

    fn instance() -> Instance {
        let (sender, receiver) = orders();
        let (writer, tape) = Tape::new();
        let mut new = Instance { sender, auditions: Auditions::new(receiver), bus: Bus::new(writer), tape };
        new.bus.activate(RATE, Channels::Stereo);
        new.auditions.activate(RATE);
        new
    }

    impl Instance {
        /// Plays a block of silence as [`Meter::play`](crate::Meter::play) does, and says whether it still is silent.
        fn is_silent(&mut self, position: Position, records: bool) -> bool {
            let (mut left, mut right) = ([0.0; BLOCK], [0.0; BLOCK]);
            let block: &mut [&mut [f32]] = &mut [&mut left, &mut right];
            let orders = self.auditions.orders();
            self.bus.measure(block, position);
            self.auditions.play(block, &position, records, &orders);
            left.iter().chain(&right).all(|&sample| sample == 0.0)
        }

        /// Holds the noise until it is up, with an editor that is there.
        fn holds(&mut self) {
            self.sender.beat();
            self.is_silent(STANDS, false);
            self.sender.beat();
            self.sender.hold(Audition::NoiseLeftSpeaker);
            for _ in 0..250 {
                self.sender.beat();
                assert!(!self.is_silent(STANDS, false), "it does not sound");
            }
        }
    }

    #[test]
    fn the_noise_sounds_while_it_is_held_and_the_meter_hears_none_of_it() {
        let mut instance = instance();
        let mut readings = instance.tape.readings.follow();
        instance.holds();
        assert_eq!(instance.sender.sounding(), Audition::NoiseLeftSpeaker);
        let mut seen = 0;
        while let Some(taped) = readings.poll() {
            assert_eq!(taped.reading.weighted_3s.left, 0.0);
            seen += 1;
        }
        assert!(seen > 20, "only {seen} readings");
        instance.sender.let_go();
        instance.is_silent(STANDS, false);
        instance.is_silent(STANDS, false);
        assert!(instance.is_silent(STANDS, false));
    }

    #[test]
    fn the_noise_ends_at_once_where_it_could_reach_a_print() {
        let offline = Position { offline: true, ..STANDS };
        for (position, records) in [(RUNS, false), (offline, false), (STANDS, true)] {
            let mut instance = instance();
            instance.holds();
            assert!(instance.is_silent(position, records), "{position:?}");
            for _ in 0..100 {
                instance.sender.beat();
                assert!(instance.is_silent(STANDS, false), "it came back by itself");
            }
        }
        for begin_anew in [|host: &mut Auditions| host.activate(RATE), Auditions::begin_anew] {
            let mut instance = instance();
            instance.holds();
            begin_anew(&mut instance.auditions);
            instance.sender.beat();
            assert!((0..100).all(|_| instance.is_silent(STANDS, false)));
        }
    }

    #[test]
    fn the_noise_ends_without_a_heartbeat() {
        let mut instance = instance();
        instance.holds();
        // 15 blocks until the beat is 150 ms old, and one more for the way out.
        for _ in 0..18 {
            instance.is_silent(STANDS, false);
        }
        assert!(instance.is_silent(STANDS, false));
    }

    #[test]
    fn the_noise_is_refused_while_the_transport_runs() {
        let mut instance = instance();
        for _ in 0..10 {
            instance.sender.beat();
            assert!(instance.is_silent(RUNS, false));
        }
        instance.sender.hold(Audition::NoiseRightSpeaker);
        for _ in 0..100 {
            instance.sender.beat();
            assert!(instance.is_silent(RUNS, false));
        }
    }
}
