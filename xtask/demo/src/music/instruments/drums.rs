//! Drums and what is shaken.

use std::f32::consts::TAU;

use candlemark_tests::signals::Noise;

use super::super::filters::{HighPass, Resonance};
use crate::music::{RATE_HZ, frames};

fn seconds(n: usize) -> f32 {
    n as f32 / RATE_HZ as f32
}

/// A bass drum: a skin whose pitch falls, and the beater.
pub(crate) fn kick(noise: &mut Noise) -> Vec<f32> {
    let mut phase = 0.0;
    let mut beater = Resonance::new(2800.0, 2500.0);
    (0..frames(0.5))
        .map(|n| {
            let t = seconds(n);
            phase += TAU * (47.0 + 95.0 * (-t * 30.0).exp()) / RATE_HZ as f32;
            let skin = phase.sin() * (-t * 7.0).exp() * (t * 800.0).min(1.0);
            let click = beater.next(noise.even() as f32) * (-t * 140.0).exp();
            (skin + 0.35 * click) * ((0.5 - t) * 20.0).min(1.0)
        })
        .collect()
}

/// A snare drum: its skin, and the wires under it.
pub(crate) fn snare(noise: &mut Noise) -> Vec<f32> {
    let mut low_cut = HighPass::new(900.0);
    let mut body = Resonance::new(1900.0, 2400.0);
    (0..frames(0.35))
        .map(|n| {
            let t = seconds(n);
            let skin = (TAU * 189.0 * t).sin() * (-t * 19.0).exp()
                + 0.6 * (TAU * 287.0 * t).sin() * (-t * 26.0).exp();
            let hiss = noise.even() as f32;
            let wires = (0.5 * low_cut.next(hiss) + 0.8 * body.next(hiss)) * (-t * 15.0).exp();
            (0.55 * skin + 0.75 * wires) * (t * 2000.0).min(1.0) * ((0.35 - t) * 20.0).min(1.0)
        })
        .collect()
}

/// A hi-hat: closed, or open and ringing on.
pub(crate) fn hat(noise: &mut Noise, is_open: bool) -> Vec<f32> {
    let (length_s, decay) = if is_open { (0.6, 8.0) } else { (0.12, 45.0) };
    let mut low_cuts = [HighPass::new(6500.0), HighPass::new(7500.0)];
    (0..frames(length_s))
        .map(|n| {
            let t = seconds(n);
            let bright = low_cuts.iter_mut().fold(noise.even() as f32, |x, cut| cut.next(x));
            bright * (-t * decay).exp() * (t * 1500.0).min(1.0) * ((length_s as f32 - t) * 50.0).min(1.0)
        })
        .collect()
}

/// A shaker: seeds that slide and then hit.
pub(crate) fn shaker(noise: &mut Noise) -> Vec<f32> {
    let mut band = Resonance::new(5600.0, 3800.0);
    (0..frames(0.11))
        .map(|n| {
            let t = seconds(n);
            let slide = (t / 0.035).min((0.11 - t) / 0.075).clamp(0.0, 1.0);
            band.next(noise.even() as f32) * slide * slide
        })
        .collect()
}
