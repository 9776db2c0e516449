use super::*;
use crate::multiply_add::InTwoSteps;

/// Sample rates in use (common practice, no source).
const RATES: [f64; 13] = [
    8000.0, 11_025.0, 16_000.0, 22_050.0, 24_000.0, 32_000.0, 44_100.0, 48_000.0, 88_200.0, 96_000.0,
    192_000.0, 352_800.0, 384_000.0,
];

/// What is told of ten seconds that come in whole quanta: tier, centre, and how many frames had come.
fn told(rate: f64) -> Vec<(usize, i64, i64)> {
    let mut octaves = ThirdOctaves::new(Hertz(rate), Build::default());
    octaves.clear(0);
    let mut told = Vec::new();
    for quantum in 1..=(10.0 * rate) as usize / QUANTUM {
        let silence = [[0.0; 2]; QUANTUM];
        octaves.feed::<InTwoSteps>(&silence, |tier, frame| {
            let centre = i64::midpoint(frame.stretch.start, frame.stretch.end);
            told.push((tier, centre, (quantum * QUANTUM) as i64));
        });
    }
    told
}

#[test]
fn bands_are_told_as_late_as_is_said_and_no_quantum_tells_of_two_transforms() {
    for rate in RATES {
        let octaves = ThirdOctaves::new(Hertz(rate), Build::default());
        let told = told(rate);
        for tier in 0..octaves.tier_count() {
            let of_tier: Vec<_> = told.iter().filter(|(t, ..)| *t == tier).collect();
            assert!(of_tier.len() > 3, "{rate} Hz, tier {tier}");
            for (_, centre, came) in of_tier {
                assert_eq!(came - centre, octaves.delay_frames(tier), "{rate} Hz, tier {tier}");
            }
        }
        for pair in told.windows(2) {
            // One for the transform and one for its bands.
            assert!(pair[1].2 - pair[0].2 >= 2 * QUANTUM as i64, "{rate} Hz: {pair:?}");
        }
    }
}
