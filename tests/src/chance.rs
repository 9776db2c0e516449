//! Chance that can be had again.

/// Numbers without a pattern, the same for the same seed.
pub(crate) struct Chance(u64);

impl Chance {
    pub(crate) fn new(seed: u64) -> Self {
        Self(seed)
    }

    pub(crate) fn bits(&mut self) -> u64 {
        // SplitMix64, Steele, Lea and Flood 2014.
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let z = (self.0 ^ self.0 >> 30).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        let z = (z ^ z >> 27).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ z >> 31
    }

    pub(crate) fn below(&mut self, end: u64) -> u64 {
        self.bits() % end
    }

    /// From 0 to below 1.
    pub(crate) fn share(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1u64 << 53) as f64
    }

    pub(crate) fn one_of<'a, T>(&mut self, several: &'a [T]) -> &'a T {
        &several[self.below(several.len() as u64) as usize]
    }
}
