//! When an audition lets go.
//!
//! An audition never begins by itself and never comes back by itself: each order has a number, and a release
//! refuses that order and all before it for good. The person has to ask anew.

use candlemark_analysis::Hertz;

use super::{Audition, NOISE_LONGEST_S};
use crate::{Gain, Orders};

/// How old the editor's heartbeat may be for an audition to sound, in milliseconds.
pub const BEAT_LATE_MS: f64 = 150.0;

/// How long an audition sounds at most, held or latched, in seconds. Held too: a window can miss that the hand has let go.
pub const LONGEST_S: f64 = 60.0;

/// What the host says of one block.
#[derive(Clone, Copy, Debug, PartialEq)]
#[expect(
    clippy::struct_excessive_bools,
    reason = "each is one thing that a host says, and any may come with any"
)]
pub struct Moment {
    /// Frames of the block.
    pub frames: u64,
    /// The host's sample rate.
    pub sample_rate: Hertz,
    /// The host has set the plugin up since the block before, or stopped and started its processing, or reset it.
    pub begun_anew: bool,
    /// The host's transport stood still in the block before and runs now.
    pub transport_started: bool,
    /// The host says that its transport runs; false while it stands, and where the host says nothing of it.
    pub transport_runs: bool,
    /// The host says that it renders offline, or that it records.
    pub prints: bool,
}

/// What is to be played.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sound {
    /// The audition, or `Off` for the song itself.
    pub audition: Audition,
    /// Its gain.
    pub gain: Gain,
    /// From the block's first frame, without a ramp: not one altered sample may reach a print.
    pub at_once: bool,
}

/// Decides for each block whether the audition that was ordered sounds. It knows numbers alone: no clock but the
/// frames that have passed.
///
/// An order is refused for good:
/// - in the block after an activation, a start of processing or a reset, and before the first block;
/// - in the block in which the transport starts;
/// - in every block of an offline render, and while the host records;
/// - when the editor's heartbeat was seen to move more than [`BEAT_LATE_MS`] of frames ago. Host and editor are
///   seen once a block, so this is exact to a block; while the host asks for no sound, no time passes here, and
///   nothing sounds. A render that the host calls live but runs much faster than that outruns the
///   heartbeat, too;
/// - when it has sounded for [`LONGEST_S`], which the last block does not exceed.
///
/// The calibration noise is refused also in every block in which the transport runs, when it has sounded for
/// [`NOISE_LONGEST_S`], and latched.
#[derive(Clone, Debug)]
pub struct Release {
    /// The newest order that must not sound any more; `None` before the first block.
    refused: Option<u64>,
    /// The order that `order_frames` belongs to.
    order: u64,
    /// Frames since that order was first seen.
    order_frames: u64,
    /// Frames since the heartbeat was last seen to move, `u64::MAX` when it never was.
    beat_age_frames: u64,
}

impl Default for Release {
    fn default() -> Self {
        Self { refused: None, order: 0, order_frames: 0, beat_age_frames: u64::MAX }
    }
}

impl Release {
    /// What to play in this block. Call it for every block, whatever is ordered.
    ///
    /// # Realtime safety
    ///
    /// A few comparisons; no clock is read.
    pub fn step(&mut self, moment: &Moment, orders: &Orders) -> Sound {
        let order = orders.audition;
        let begun_anew = moment.begun_anew || self.refused.is_none();
        if begun_anew {
            // Nobody knows for how long the host had put the plugin away.
            self.beat_age_frames = u64::MAX;
        } else if orders.beat {
            self.beat_age_frames = 0;
        }
        if order.number != self.order {
            self.order = order.number;
            self.order_frames = 0;
        }

        let at_once = begun_anew || moment.transport_started || moment.prints;
        let end = self.order_frames.saturating_add(moment.frames);
        let late = || self.beat_age_frames > frames_of(BEAT_LATE_MS / 1000.0, moment.sample_rate);
        let over = || end > frames_of(longest_s(order.audition), moment.sample_rate);
        let never = || order.audition.is_noise() && (moment.transport_runs || order.latched);
        // What has been refused is so for good; in most blocks of a session there is nothing else.
        if self.refused < Some(order.number) && (at_once || late() || over() || never()) {
            self.refused = Some(order.number);
        }

        self.beat_age_frames = self.beat_age_frames.saturating_add(moment.frames);
        self.order_frames = end;
        let sounds = self.refused.is_some_and(|refused| order.number > refused);
        Sound { audition: if sounds { order.audition } else { Audition::Off }, gain: orders.gain, at_once }
    }
}

/// How long it may sound, in seconds.
fn longest_s(audition: Audition) -> f64 {
    if audition.is_noise() { NOISE_LONGEST_S } else { LONGEST_S }
}

/// Whole frames in so many seconds; none at a sample rate that is none.
fn frames_of(seconds: f64, rate: Hertz) -> u64 {
    (seconds * rate.0) as u64
}

#[cfg(all(test, not(loom)))]
mod tests;
