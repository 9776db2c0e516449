//! Sound for the host to play.

use crate::chance::Chance;

/// White noise between −`peak` and +`peak`, the same for the same `seed`.
pub fn noise(seed: u64, frames: usize, peak: f32) -> Vec<f32> {
    let mut chance = Chance::new(seed);
    // 24 bits are what single precision holds.
    let unit = |bits: u64| (bits >> 40) as f32 / (1u32 << 23) as f32 - 1.0;
    (0..frames).map(|_| unit(chance.bits()) * peak).collect()
}

/// Channels of noise that have nothing to do with each other.
pub fn noises(channels: usize, seed: u64, frames: usize) -> Vec<Vec<f32>> {
    (0..channels).map(|channel| noise(seed * 16 + channel as u64, frames, 0.5)).collect()
}

/// Samples that no sound card gives, and a plugin may: each must come out as it went in.
pub fn extremes() -> Vec<f32> {
    vec![
        0.0,
        -0.0,
        1.0,
        -1.0,
        f32::MAX,
        f32::MIN,
        f32::MIN_POSITIVE,
        // Denormals: the smallest and the largest.
        f32::from_bits(1),
        f32::from_bits(0x8000_0001),
        f32::from_bits(0x007F_FFFF),
        f32::INFINITY,
        f32::NEG_INFINITY,
        f32::NAN,
        // NaNs with a sign and a payload; the last is a signalling one.
        f32::from_bits(0xFFC0_1234),
        f32::from_bits(0x7F80_0001),
        1e6,
        -1.1e6,
    ]
}

/// Noise with extremes strewn into it, at other places in each channel.
pub fn spoilt(channels: usize, seed: u64, frames: usize) -> Vec<Vec<f32>> {
    let mut sound = noises(channels, seed, frames);
    for (channel, samples) in sound.iter_mut().enumerate() {
        for (at, sample) in
            samples.iter_mut().skip(channel * 7).step_by(23).zip(extremes().into_iter().cycle())
        {
            *at = sample;
        }
    }
    sound
}
