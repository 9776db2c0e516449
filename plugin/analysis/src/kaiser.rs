//! Kaiser windows, and the power-complementary window derived from them.

/// Modified Bessel function of the first kind, order zero, by its power series. Good to the last bits for
/// the arguments that windows use (under 30).
fn bessel_i0(x: f64) -> f64 {
    let quarter = x * x / 4.0;
    let mut term = 1.0;
    let mut sum = 1.0;
    for k in 1..200 {
        term *= quarter / f64::from(k * k);
        sum += term;
        if term < sum * 1e-17 {
            break;
        }
    }
    sum
}

/// The Kaiser window of shape `beta` at `x`, which runs from −1 to 1 over the window. Zero outside.
pub(crate) fn kaiser(beta: f64, x: f64) -> f64 {
    let inside = 1.0 - x * x;
    if inside < 0.0 { 0.0 } else { bessel_i0(beta * inside.sqrt()) / bessel_i0(beta) }
}

/// The Kaiser–Bessel-derived window of `length` (even) points and shape `alpha`: w² of two windows that
/// overlap by half sums to 1 at every point, so that half-overlapped power spectra weigh every sample alike.
pub(crate) fn kaiser_bessel_derived(length: usize, alpha: f64) -> Vec<f64> {
    let half = length / 2;
    let beta = std::f64::consts::PI * alpha;
    let kernel: Vec<f64> = (0..=half).map(|i| kaiser(beta, 2.0 * i as f64 / half as f64 - 1.0)).collect();
    let total: f64 = kernel.iter().sum();
    let mut sum = 0.0;
    let rising: Vec<f64> = kernel[..half]
        .iter()
        .map(|k| {
            sum += k;
            (sum / total).sqrt()
        })
        .collect();
    rising.iter().chain(rising.iter().rev()).copied().collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// I₀(1) and I₀(10) as printed in Abramowitz and Stegun, Handbook of Mathematical Functions, table 9.8
    /// (from memory; the series is the definition).
    #[test]
    fn bessel_agrees_with_the_handbook() {
        assert!((bessel_i0(1.0) - 1.266_065_877_752_008).abs() < 1e-14);
        assert!((bessel_i0(10.0) / 2_815.716_628_466_254 - 1.0).abs() < 1e-14);
    }

    #[test]
    fn half_overlapped_windows_weigh_every_sample_alike() {
        let window = kaiser_bessel_derived(2048, 4.0);
        for i in 0..1024 {
            let power = window[i].powi(2) + window[i + 1024].powi(2);
            assert!((power - 1.0).abs() < 1e-12, "at {i}: {power}");
        }
    }
}
