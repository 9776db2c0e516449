//! Small filters that instruments are built of.

use super::RATE_HZ;

/// A low-pass of the first order.
pub(crate) struct LowPass {
    share: f32,
    state: f32,
}

impl LowPass {
    pub(crate) fn new(hz: f64) -> Self {
        Self { share: (1.0 - (-std::f64::consts::TAU * hz / RATE_HZ).exp()) as f32, state: 0.0 }
    }

    pub(crate) fn next(&mut self, x: f32) -> f32 {
        self.state += self.share * (x - self.state);
        self.state
    }
}

/// What a [`LowPass`] leaves out.
pub(crate) struct HighPass(LowPass);

impl HighPass {
    pub(crate) fn new(hz: f64) -> Self {
        Self(LowPass::new(hz))
    }

    pub(crate) fn next(&mut self, x: f32) -> f32 {
        x - self.0.next(x)
    }
}

/// A resonance of two poles, whose gain is 1 at its frequency (a state-variable filter's band-pass).
pub(crate) struct Resonance {
    g: f32,
    k: f32,
    whole: f32,
    low: f32,
    band: f32,
}

impl Resonance {
    pub(crate) fn new(hz: f32, width_hz: f32) -> Self {
        let mut resonance = Self { g: 0.0, k: 1.0, whole: 1.0, low: 0.0, band: 0.0 };
        resonance.tune(hz, width_hz);
        resonance
    }

    pub(crate) fn tune(&mut self, hz: f32, width_hz: f32) {
        self.g = (std::f32::consts::PI * hz / RATE_HZ as f32).tan();
        self.k = width_hz / hz;
        self.whole = 1.0 / (1.0 + self.g * (self.g + self.k));
    }

    pub(crate) fn next(&mut self, x: f32) -> f32 {
        let high = (x - self.low - (self.g + self.k) * self.band) * self.whole;
        let band = self.band + self.g * high;
        let low = self.low + self.g * band;
        // The states of the trapezoidal integrators.
        self.band = band + self.g * high;
        self.low = low + self.g * band;
        self.k * band
    }
}
