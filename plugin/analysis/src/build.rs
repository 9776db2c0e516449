//! What an Analyzer can be made of.

/// What an Analyzer is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Build {
    /// Whether third octaves are measured. Without them all bands are zero, cells come at their very end, and the work is
    /// about half.
    pub bands: bool,
    /// Whether the processor's vector instructions are used. Without them the figures differ in their last bits, and
    /// the work is several times as much.
    pub vectors: bool,
}

impl Default for Build {
    /// All that there is.
    fn default() -> Self {
        Self { bands: true, vectors: true }
    }
}
