//! A second-order section: coefficients, response, and the change of its sample rate.

use std::f64::consts::PI;

/// b₀ + b₁z⁻¹ + b₂z⁻² over 1 + a₁z⁻¹ + a₂z⁻².
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Biquad {
    pub(crate) b: [f64; 3],
    pub(crate) a: [f64; 2],
}

/// Multiplies two polynomials of the first degree, lowest power first.
fn product(p: [f64; 2], q: [f64; 2]) -> [f64; 3] {
    [p[0] * q[0], p[0] * q[1] + p[1] * q[0], p[1] * q[1]]
}

/// c₀·p + c₁·q + c₂·r.
fn combine(c: [f64; 3], p: [f64; 3], q: [f64; 3], r: [f64; 3]) -> [f64; 3] {
    std::array::from_fn(|i| c[0] * p[i] + c[1] * q[i] + c[2] * r[i])
}

impl Biquad {
    /// The section as five numbers.
    pub(crate) fn coefficients(&self) -> [f64; 5] {
        [self.b[0], self.b[1], self.b[2], self.a[0], self.a[1]]
    }

    /// The section of five numbers, as [`Biquad::coefficients`] gives them.
    pub(crate) fn of_coefficients([b0, b1, b2, a1, a2]: [f64; 5]) -> Self {
        Self { b: [b0, b1, b2], a: [a1, a2] }
    }

    /// Gain in dB at `turn` = 2π·frequency/rate.
    pub(crate) fn gain_db(&self, turn: f64) -> f64 {
        let square = |c: [f64; 3]| {
            let real = c[0] + c[1] * turn.cos() + c[2] * (2.0 * turn).cos();
            let imaginary = c[1] * turn.sin() + c[2] * (2.0 * turn).sin();
            real * real + imaginary * imaginary
        };
        10.0 * (square(self.b) / square([1.0, self.a[0], self.a[1]])).log10()
    }

    /// Whether both poles lie inside the unit circle.
    pub(crate) fn is_stable(&self) -> bool {
        self.a[1].abs() < 1.0 && self.a[0].abs() < 1.0 + self.a[1]
    }

    /// The same section at another sample rate: back through the bilinear transform, and forth again so that
    /// the response at `exact_hz` is the same.
    pub(crate) fn at_rate(&self, from_hz: f64, to_hz: f64, exact_hz: f64) -> Self {
        if from_hz == to_hz {
            return *self;
        }
        // With s = (1 − z⁻¹)/(1 + z⁻¹) the old section is a ratio of polynomials in s; at the new rate the
        // same s is `stretch` times as far up.
        let stretch = (PI * exact_hz / from_hz).tan() / (PI * exact_hz / to_hz).tan();
        let change = |c: [f64; 3]| {
            let analogue = combine(
                c,
                product([1.0, 1.0], [1.0, 1.0]),
                product([1.0, 1.0], [1.0, -1.0]),
                product([1.0, -1.0], [1.0, -1.0]),
            );
            combine(
                [analogue[0], analogue[1] * stretch, analogue[2] * stretch * stretch],
                product([1.0, 1.0], [1.0, 1.0]),
                product([1.0, -1.0], [1.0, 1.0]),
                product([1.0, -1.0], [1.0, -1.0]),
            )
        };
        let (b, a) = (change(self.b), change([1.0, self.a[0], self.a[1]]));
        Self { b: b.map(|b| b / a[0]), a: [a[1] / a[0], a[2] / a[0]] }
    }
}
