//! The calibration noise: with it a person marks a position of the monitor knob.
//!
//! Pink noise from 500 Hz to 2 kHz, the band of EBU Tech 3343 §8.2's reference noise: there a room does least to it,
//! and a sound-level meter reads nearly the same with every weighting.

use candlemark_analysis::Hertz;

use super::Audition;

mod band;

use band::Band;

/// True rms of the noise in its one channel, in dB, full scale ±1.
///
/// In this band that is −23 LUFS in one channel, the level at which EBU Tech 3343 §8.2 (from 2016 on) plays it, and near
/// where music sits: the knob's position is right for what is heard at it.
const RMS_DB: f64 = -23.5;

/// A-weighted mean power of the calibration noise in its one channel once it is up, in dB, full scale ±1. It is its rms
/// of −23.5 dB and what IEC 61672-1:2013 Annex E takes from pink noise in this band, 0.17 dB.
pub const NOISE_A_WEIGHTED_DB: f64 = RMS_DB - 0.17;

/// How long the noise sounds at most, in seconds (ours): time to read a meter that is set to slow.
pub const NOISE_LONGEST_S: f64 = 30.0;

/// How far under its final level the noise begins, in dB (ours: at least 20 dB).
const BEGINS_UNDER_DB: f64 = 30.0;

/// How long it takes to its final level, in seconds (ours): time to take the hand off.
const RISE_S: f64 = 2.0;

/// How long its first and last moments take, in seconds (ours), so that neither is a click.
const EDGE_S: f64 = 0.010;

/// The noise's generator and its level over time.
#[derive(Clone, Debug)]
pub(crate) struct Noise {
    /// `None` where the noise can't be made: before an activation, and at a rate that has no room for its band.
    band: Option<Band>,
    /// State of the random numbers; never 0.
    random: u64,
    /// Which noise sounds; `Off` where none does.
    sounding: Audition,
    /// The way up, as a factor of amplitude; 1 once it is up.
    rise: f64,
    /// Factor of the way up from frame to frame.
    rise_step: f64,
    /// 0 before and after the noise, 1 within.
    edge: f64,
    edge_step: f64,
    /// It is on its way to nothing, and gets there whatever is asked for meanwhile.
    leaves: bool,
}

impl Default for Noise {
    fn default() -> Self {
        Self {
            band: None,
            random: 1,
            sounding: Audition::Off,
            rise: 0.0,
            rise_step: 1.0,
            edge: 0.0,
            edge_step: 1.0,
            leaves: false,
        }
    }
}

impl Noise {
    /// Works out the filters for a sample rate, and falls silent.
    pub(crate) fn prepare(&mut self, sample_rate: Hertz) {
        *self = Self {
            band: Band::new(sample_rate, 10f64.powf(RMS_DB / 20.0)),
            rise_step: 10f64.powf(BEGINS_UNDER_DB / 20.0 / (RISE_S * sample_rate.0)),
            edge_step: 1.0 / (EDGE_S * sample_rate.0),
            ..Self::default()
        };
    }

    /// Whether it sounds, or is on its way to nothing.
    pub(crate) fn sounds(&self) -> bool {
        self.sounding != Audition::Off
    }

    /// Ends it without a ramp.
    pub(crate) fn cut(&mut self) {
        self.sounding = Audition::Off;
    }

    /// Adds the noise to a block, where one is wanted or has not ended yet.
    ///
    /// # Realtime safety
    ///
    /// One pass over the samples; nothing is allocated.
    #[cold]
    #[inline(never)]
    pub(crate) fn add(&mut self, wanted: Audition, left: &mut [f32], right: &mut [f32]) {
        for (left, right) in left.iter_mut().zip(right) {
            match self.frame(wanted) {
                Some((Audition::NoiseLeftSpeaker, sample)) => *left += sample,
                Some((_, sample)) => *right += sample,
                None => return,
            }
        }
    }

    /// The same where there is one channel, which is every speaker.
    #[cold]
    #[inline(never)]
    pub(crate) fn add_to_one(&mut self, wanted: Audition, only: &mut [f32]) {
        for only in only {
            let Some((_, sample)) = self.frame(wanted) else { return };
            *only += sample;
        }
    }

    /// One frame, and of which noise; `None` where none sounds.
    fn frame(&mut self, wanted: Audition) -> Option<(Audition, f32)> {
        if !self.sounds() && wanted.is_noise() {
            self.begin(wanted);
        }
        let sounding = self.sounding;
        self.leaves |= wanted != sounding;
        self.sounds().then(|| (sounding, self.next() as f32))
    }

    /// Begins from its low level; in each speaker anew.
    fn begin(&mut self, noise: Audition) {
        let Some(band) = &mut self.band else { return };
        band.clear();
        self.sounding = noise;
        self.rise = 10f64.powf(-BEGINS_UNDER_DB / 20.0);
        self.edge = 0.0;
        self.leaves = false;
    }

    fn next(&mut self) -> f64 {
        let white = self.white();
        let Some(band) = &mut self.band else { return 0.0 };
        let sample = band.filter(white) * self.rise * self.edge;
        self.rise = (self.rise * self.rise_step).min(1.0);
        if self.leaves {
            self.edge -= self.edge_step;
            // Half a step, so that what rounding leaves of the last one does not make a frame more.
            if self.edge < 0.5 * self.edge_step {
                self.sounding = Audition::Off;
            }
        } else {
            self.edge = (self.edge + self.edge_step).min(1.0);
        }
        sample
    }

    /// White noise within ±1, evenly spread: Marsaglia, "Xorshift RNGs" (2003), with shifts 13, 7 and 17.
    fn white(&mut self) -> f64 {
        self.random ^= self.random << 13;
        self.random ^= self.random >> 7;
        self.random ^= self.random << 17;
        // The upper 32 bits, as a signed share of their range.
        f64::from((self.random >> 32) as u32 as i32) / f64::from(1u32 << 31)
    }
}

#[cfg(all(test, not(loom)))]
mod tests;
