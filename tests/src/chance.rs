//! Chance that can be had again.

/// Numbers without a pattern, the same for the same seed.
pub struct Chance(u64);

impl Chance {
    /// Chance from a seed.
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// 64 bits.
    pub fn bits(&mut self) -> u64 {
        // SplitMix64, Steele, Lea and Flood 2014.
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let z = (self.0 ^ self.0 >> 30).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        let z = (z ^ z >> 27).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ z >> 31
    }

    /// From 0 to below `end`.
    pub fn below(&mut self, end: u64) -> u64 {
        self.bits() % end
    }

    /// From 0 to below 1.
    pub fn share(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// One of these.
    pub fn one_of<'a, T>(&mut self, several: &'a [T]) -> &'a T {
        &several[self.below(several.len() as u64) as usize]
    }
}
