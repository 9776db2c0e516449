//! Two channels that instruments are added to.

/// A whole stereo sound in the making.
#[derive(Clone)]
pub(crate) struct Stereo {
    pub(crate) left: Vec<f32>,
    pub(crate) right: Vec<f32>,
}

impl Stereo {
    pub(crate) fn silent(frames: usize) -> Self {
        Self { left: vec![0.0; frames], right: vec![0.0; frames] }
    }

    /// Adds one instrument's sound from a frame on; `pan` is −1 (left) to 1 (right), of equal power all the way.
    pub(crate) fn add(&mut self, sound: &[f32], at_frame: usize, gain: f32, pan: f32) {
        let angle = (pan + 1.0) * std::f32::consts::FRAC_PI_4;
        for (channel, gain) in [(&mut self.left, gain * angle.cos()), (&mut self.right, gain * angle.sin())] {
            let place = channel.iter_mut().skip(at_frame);
            place.zip(sound).for_each(|(channel, sample)| *channel += gain * sample);
        }
    }

    pub(crate) fn add_all(&mut self, other: &Self, gain: f32) {
        for (channel, other) in [(&mut self.left, &other.left), (&mut self.right, &other.right)] {
            channel.iter_mut().zip(other).for_each(|(channel, sample)| *channel += gain * sample);
        }
    }

    pub(crate) fn scale(&mut self, gain: f32) {
        self.left.iter_mut().chain(&mut self.right).for_each(|sample| *sample *= gain);
    }

    /// Ends the sound in a fade of so many frames.
    pub(crate) fn fade_out(&mut self, frames: usize) {
        for channel in [&mut self.left, &mut self.right] {
            let last = channel.iter_mut().rev().take(frames).enumerate();
            last.for_each(|(n, sample)| *sample *= n as f32 / frames as f32);
        }
    }
}
