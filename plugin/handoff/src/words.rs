//! Figures as 32-bit words, one after the other.

/// Writes figures into a record of `W` words.
///
/// What goes beyond the record is dropped, for there is no panicking on the audio thread; a record's round
/// trip test sees it.
pub(crate) struct WordWriter<const W: usize> {
    words: [u32; W],
    at: usize,
}

impl<const W: usize> WordWriter<W> {
    pub(crate) fn new() -> Self {
        Self { words: [0; W], at: 0 }
    }

    pub(crate) fn u32(&mut self, value: u32) {
        debug_assert!(self.at < W, "the record has more than {W} words");
        if let Some(word) = self.words.get_mut(self.at) {
            *word = value;
        }
        self.at += 1;
    }

    pub(crate) fn i32(&mut self, value: i32) {
        self.u32(value.cast_unsigned());
    }

    pub(crate) fn u64(&mut self, value: u64) {
        self.u32(value as u32);
        self.u32((value >> 32) as u32);
    }

    pub(crate) fn f32(&mut self, value: f32) {
        self.u32(value.to_bits());
    }

    pub(crate) fn f64(&mut self, value: f64) {
        self.u64(value.to_bits());
    }

    /// Two 16-bit values in one word, the first in the lower half.
    pub(crate) fn pair(&mut self, low: u16, high: u16) {
        self.u32(u32::from(low) | u32::from(high) << 16);
    }

    pub(crate) fn finish(self) -> [u32; W] {
        debug_assert_eq!(self.at, W, "the record has fewer than {W} words");
        self.words
    }
}

/// Reads figures back in the order in which they were written. Beyond the record it reads zero.
pub(crate) struct WordReader<'a> {
    words: &'a [u32],
}

impl<'a> WordReader<'a> {
    pub(crate) fn new(words: &'a [u32]) -> Self {
        Self { words }
    }

    pub(crate) fn u32(&mut self) -> u32 {
        let (&word, rest) = self.words.split_first().unwrap_or((&0, &[]));
        self.words = rest;
        word
    }

    pub(crate) fn i32(&mut self) -> i32 {
        self.u32().cast_signed()
    }

    pub(crate) fn u64(&mut self) -> u64 {
        let low = self.u32();
        u64::from(low) | u64::from(self.u32()) << 32
    }

    pub(crate) fn f32(&mut self) -> f32 {
        f32::from_bits(self.u32())
    }

    pub(crate) fn f64(&mut self) -> f64 {
        f64::from_bits(self.u64())
    }

    pub(crate) fn pair(&mut self) -> (u16, u16) {
        let word = self.u32();
        (word as u16, (word >> 16) as u16)
    }
}

/// Flags as the bits of a number, the first the lowest.
pub(crate) fn bits(flags: &[bool]) -> u32 {
    flags.iter().rev().fold(0, |bits, &flag| bits << 1 | u32::from(flag))
}

/// Whether flag number `index` is set; see [`bits`].
pub(crate) fn bit(bits: u32, index: u32) -> bool {
    bits >> index & 1 == 1
}
