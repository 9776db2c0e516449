//! Orders to the audio thread: the latest wins, and nobody waits.
//!
//! What a person asks for by clicks comes once in a while, and only its latest state counts; so there is no
//! queue, which could be full, but one atomic for each thing that can be ordered. What belongs together is in
//! one atomic and can't be torn; what does not is looked at in an order that is always on the safe side.

use std::sync::Arc;
use std::sync::atomic::Ordering::{Acquire, Relaxed, Release};

use crate::atomics::{AtomicBool, AtomicF32, AtomicU64};
use crate::{Audition, Gain};

/// Which audition a person wants.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct AuditionOrder {
    /// Counts the orders; 0 before the first.
    pub number: u64,
    /// What to play.
    pub audition: Audition,
    /// It goes on when the person takes the hand off.
    pub latched: bool,
}

/// Bits of an order's word below its number: four of the audition and one of the latch.
const NUMBER_SHIFT: u32 = 5;
const LATCHED: u64 = 1 << 4;
const AUDITION: u64 = LATCHED - 1;

impl AuditionOrder {
    fn to_word(self) -> u64 {
        let latched = if self.latched { LATCHED } else { 0 };
        self.number << NUMBER_SHIFT | latched | self.audition.number() as u64
    }

    fn of_word(word: u64) -> Self {
        Self {
            number: word >> NUMBER_SHIFT,
            audition: Audition::of_number(word & AUDITION),
            latched: word & LATCHED != 0,
        }
    }
}

/// What both ends share.
struct Shared {
    /// An [`AuditionOrder`] as a word.
    audition: AtomicU64,
    /// The level match of each audition, as a factor of amplitude. Each has its own, so that none is ever played
    /// with another's.
    gains: [AtomicF32; Audition::ALL.len()],
    /// Grows while an editor is open.
    beats: AtomicU64,
    /// Grows with each order to begin the pass anew.
    pass_resets: AtomicU64,
    paused: AtomicBool,
    /// Number of the audition that the audio thread plays.
    sounding: AtomicU64,
}

/// Makes both ends of an instance's orders: none is given, and measuring is not paused.
pub fn orders() -> (OrderSender, OrderReceiver) {
    let shared = Arc::new(Shared {
        audition: AtomicU64::new(AuditionOrder::default().to_word()),
        gains: std::array::from_fn(|_| AtomicF32::new(Gain::UNITY.amplitude())),
        beats: AtomicU64::new(0),
        pass_resets: AtomicU64::new(0),
        paused: AtomicBool::new(false),
        sounding: AtomicU64::new(Audition::Off.number() as u64),
    });
    (OrderSender { shared: Arc::clone(&shared) }, OrderReceiver { shared, beats: 0, pass_resets: 0 })
}

/// The end that orders. Clone it for whoever may; the latest order wins.
#[derive(Clone)]
pub struct OrderSender {
    shared: Arc<Shared>,
}

impl OrderSender {
    /// Says that the editor is there. It does so at least every 50 ms while a person may audition: an audition
    /// lets go when the heartbeat is [`BEAT_LATE_MS`](crate::BEAT_LATE_MS) late. Nobody but an open editor may.
    pub fn beat(&self) {
        // Relaxed: an order given later publishes it (see `order`), and alone it says only that it has moved.
        self.shared.beats.fetch_add(1, Relaxed);
    }

    /// Plays an audition until [`OrderSender::let_go`], or for a minute (the noise: half of one). Ordered again, it is a new order, also after a
    /// release.
    pub fn hold(&self, audition: Audition) {
        self.order(audition, false);
    }

    /// The same for one that needs no hand. The calibration noise needs one always: latched, nothing is played.
    pub fn latch(&self, audition: Audition) {
        if audition.is_noise() {
            self.let_go();
        } else {
            self.order(audition, true);
        }
    }

    /// Ends the audition.
    pub fn let_go(&self) {
        self.order(Audition::Off, false);
    }

    fn order(&self, audition: Audition, latched: bool) {
        let next = |word| {
            let number = AuditionOrder::of_word(word).number + 1;
            Some(AuditionOrder { number, audition, latched }.to_word())
        };
        // Release: whoever acquires this order also sees the heartbeat and the gains that were there before
        // it. Relaxed when it fails: the value read is only tried anew.
        let ordered = self.shared.audition.fetch_update(Release, Relaxed, next);
        debug_assert!(ordered.is_ok(), "an order always has a next one");
    }

    /// Sets the level match of an audition. It may follow the song while the audition sounds.
    pub fn match_level(&self, audition: Audition, gain: Gain) {
        if let Some(kept) = self.shared.gains.get(audition.number()) {
            // Relaxed: an order given later publishes it; a newer gain of the same audition is right at any time.
            kept.store(gain.amplitude(), Relaxed);
        }
    }

    /// The level match of an audition.
    pub fn matched(&self, audition: Audition) -> Gain {
        // Relaxed: whoever sets it asks for it; nobody else does.
        let gain = self.shared.gains.get(audition.number()).map_or(1.0, |gain| gain.load(Relaxed));
        Gain::of_amplitude(gain)
    }

    /// Begins the pass anew.
    pub fn reset_pass(&self) {
        // Relaxed: a count orders nothing but itself; one block sooner or later is the same to a person.
        self.shared.pass_resets.fetch_add(1, Relaxed);
    }

    /// Pauses measuring the pass, or lets it go on.
    pub fn pause(&self, paused: bool) {
        // Relaxed: a flag on its own, as above.
        self.shared.paused.store(paused, Relaxed);
    }

    /// Whether measuring the pass is paused by order.
    pub fn is_paused(&self) -> bool {
        // Relaxed: as above.
        self.shared.paused.load(Relaxed)
    }

    /// What the audio thread plays, as it said last: what a banner may claim.
    pub fn sounding(&self) -> Audition {
        // Relaxed: it is shown, and nothing follows from it.
        Audition::of_number(self.shared.sounding.load(Relaxed))
    }
}

/// The orders as they stand at one block.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Orders {
    /// The latest audition that was asked for; [`Release`](crate::Release) says whether it may sound.
    pub audition: AuditionOrder,
    /// Level match of that audition.
    pub gain: Gain,
    /// The editor's heartbeat has moved since the last poll.
    pub beat: bool,
    /// How often the pass was ordered to begin anew since the last poll.
    pub pass_resets: u64,
    /// Measuring the pass is paused.
    pub paused: bool,
}

/// The audio thread's end: one for each instance, since a change is told once.
///
/// ```compile_fail
/// let (_, receiver) = candlemark_handoff::orders();
/// let second = receiver.clone();
/// ```
pub struct OrderReceiver {
    shared: Arc<Shared>,
    /// The heartbeat at the last poll.
    beats: u64,
    /// Orders to begin the pass anew, up to the last poll.
    pass_resets: u64,
}

impl OrderReceiver {
    /// The orders as they stand, and what has changed since the last poll.
    ///
    /// # Realtime safety
    ///
    /// Five loads: no lock, no allocation, no system call, no loop.
    pub fn poll(&mut self) -> Orders {
        let shared = &*self.shared;
        // Acquire, and first: what the sender did before this order, its heartbeat and its level match, is seen
        // by the loads below. An order is never taken for one without a heartbeat, nor played at an older gain.
        let audition = AuditionOrder::of_word(shared.audition.load(Acquire));
        // Relaxed, all four: ordered by the load above where it matters; a change that is missed here is seen
        // at the next block.
        let beats = shared.beats.load(Relaxed);
        let gain = shared.gains.get(audition.audition.number()).map_or(1.0, |gain| gain.load(Relaxed));
        let pass_resets = shared.pass_resets.load(Relaxed);
        let paused = shared.paused.load(Relaxed);

        let orders = Orders {
            audition,
            gain: Gain::of_amplitude(gain),
            beat: beats != self.beats,
            pass_resets: pass_resets.wrapping_sub(self.pass_resets),
            paused,
        };
        self.beats = beats;
        self.pass_resets = pass_resets;
        orders
    }

    /// Says what is played.
    ///
    /// # Realtime safety
    ///
    /// One store.
    pub fn tell(&self, sounding: Audition) {
        // Relaxed: it is shown, and nothing follows from it.
        self.shared.sounding.store(sounding.number() as u64, Relaxed);
    }
}

#[cfg(all(test, loom))]
mod loom_models;
#[cfg(all(test, not(loom)))]
mod tests;
