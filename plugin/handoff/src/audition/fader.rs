//! From the song to an audition and back without a click.

use candlemark_analysis::Hertz;

use super::noise::Noise;
use super::{Audition, Sound};
use crate::Gain;

/// How long a change takes, in seconds.
const RAMP_S: f64 = 0.010;

/// How both outputs are made of both inputs. Every audition is such a mix, and so is everything between two of
/// them.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Mix {
    /// Left and right input in the left output.
    left: [f32; 2],
    /// Left and right input in the right output.
    right: [f32; 2],
}

impl Mix {
    const SONG: Self = Self { left: [1.0, 0.0], right: [0.0, 1.0] };

    fn of(audition: Audition, gain: Gain) -> Self {
        let gain = gain.amplitude();
        let half = 0.5 * gain;
        let (left, right) = match audition {
            Audition::Off => return Self::SONG,
            // Each channel is halved before the sum, so that two loud ones can't overflow.
            Audition::MonoBoth => ([half, half], [half, half]),
            Audition::MonoLeftSpeaker => ([half, half], [0.0, 0.0]),
            Audition::MonoRightSpeaker => ([0.0, 0.0], [half, half]),
            Audition::Left => ([gain, 0.0], [gain, 0.0]),
            Audition::Right => ([0.0, gain], [0.0, gain]),
            Audition::Difference => ([half, -half], [half, -half]),
            // Silence, which the noise fills.
            Audition::NoiseLeftSpeaker | Audition::NoiseRightSpeaker => ([0.0, 0.0], [0.0, 0.0]),
        };
        Self { left, right }
    }

    /// The mix that is `share` of the way from this one to another.
    fn towards(self, to: Self, share: f32) -> Self {
        let between = |from: [f32; 2], to: [f32; 2]| {
            [from[0] + share * (to[0] - from[0]), from[1] + share * (to[1] - from[1])]
        };
        Self { left: between(self.left, to.left), right: between(self.right, to.right) }
    }

    fn play(self, left: &mut f32, right: &mut f32) {
        // What is left out is left out, even where it is no number.
        let part = |share: f32, sample: f32| if share == 0.0 { 0.0 } else { share * sample };
        let (l, r) = (*left, *right);
        *left = part(self.left[0], l) + part(self.left[1], r);
        *right = part(self.right[0], l) + part(self.right[1], r);
    }
}

/// Plays what [`Release`](super::Release) says: a linear crossfade of 10 ms at every change of audition or gain,
/// begun from whatever sounds at that moment; then the audition itself, or the song bit for bit.
#[derive(Clone, Debug)]
pub struct Fader {
    /// What sounds when the ramp is over.
    audition: Audition,
    gain: Gain,
    /// Where the ramp began.
    from: Mix,
    /// Length of a ramp.
    ramp_frames: u32,
    /// How much of one is still to come; 0 when nothing changes.
    left_frames: u32,
    noise: Noise,
}

impl Default for Fader {
    fn default() -> Self {
        Self {
            audition: Audition::Off,
            gain: Gain::UNITY,
            from: Mix::SONG,
            ramp_frames: 0,
            left_frames: 0,
            noise: Noise::default(),
        }
    }
}

impl Fader {
    /// Makes ready to play at a sample rate, and cuts a ramp that was on its way; without it changes have no ramp, and the
    /// noise is silence. Not for the audio thread: it takes long.
    pub fn prepare(&mut self, sample_rate: Hertz) {
        self.ramp_frames = (RAMP_S * sample_rate.0) as u32;
        self.left_frames = 0;
        self.noise.prepare(sample_rate);
    }

    /// Plays a block in place of its samples.
    ///
    /// # Realtime safety
    ///
    /// One pass over the samples; nothing is allocated, and without an audition nothing is touched.
    pub fn play(&mut self, sound: Sound, left: &mut [f32], right: &mut [f32]) {
        self.aim(sound);
        let frames = left.len().min(right.len());
        let ramp = frames.min(self.left_frames as usize);
        let (ramp_left, rest_left) = left.split_at_mut(ramp);
        let (ramp_right, rest_right) = right.split_at_mut(ramp);

        let to = Mix::of(self.audition, self.gain);
        for (l, r) in ramp_left.iter_mut().zip(ramp_right) {
            self.left_frames -= 1;
            self.on_the_way(to).play(l, r);
        }
        if self.audition != Audition::Off {
            rest_left.iter_mut().zip(rest_right).for_each(|(l, r)| to.play(l, r));
        }
        if self.audition.is_noise() || self.noise.sounds() {
            self.noise.add(self.audition, left, right);
        }
    }

    /// The same on a mono bus, which has nothing to audition but the calibration noise. Gives what is played.
    ///
    /// # Realtime safety
    ///
    /// As [`Fader::play`].
    pub fn play_mono(&mut self, sound: Sound, only: &mut [f32]) -> Audition {
        let audition = if sound.audition.is_noise() { sound.audition } else { Audition::Off };
        self.aim(Sound { audition, ..sound });
        if self.is_idle() {
            return Audition::Off;
        }
        let (ramp, rest) = only.split_at_mut(only.len().min(self.left_frames as usize));
        let to = Mix::of(self.audition, self.gain);
        for sample in ramp {
            self.left_frames -= 1;
            self.on_the_way(to).play(sample, &mut 0.0);
        }
        if audition.is_noise() {
            rest.fill(0.0);
        }
        self.noise.add_to_one(audition, only);
        audition
    }

    /// Whether the song passes bit for bit.
    pub(super) fn is_idle(&self) -> bool {
        self.audition == Audition::Off && self.left_frames == 0 && !self.noise.sounds()
    }

    /// The mix of the ramp's frame that is played just now, or was last.
    fn on_the_way(&self, to: Mix) -> Mix {
        let done = (self.ramp_frames - self.left_frames) as f32;
        // Longer by one than the frames altered: the next frame after them would be the whole way.
        self.from.towards(to, done / (self.ramp_frames as f32 + 1.0))
    }

    fn aim(&mut self, sound: Sound) {
        let changed =
            sound.audition != self.audition || (sound.gain != self.gain && sound.audition != Audition::Off);
        if changed && !sound.at_once {
            let now = Mix::of(self.audition, self.gain);
            self.from = if self.left_frames == 0 { now } else { self.on_the_way(now) };
            self.left_frames = self.ramp_frames;
        } else if sound.at_once {
            self.left_frames = 0;
            self.noise.cut();
        }
        if changed {
            self.audition = sound.audition;
            self.gain = sound.gain;
        }
    }
}

#[cfg(all(test, not(loom)))]
mod tests;
