//! How far the taking of a yardstick is, for whoever shows it.

/// What there is to show of a yardstick that is being taken, from files or from what plays.
#[derive(Clone, Debug, PartialEq)]
pub struct Progress {
    /// What it will be called.
    pub name: String,
    /// How many files it is taken from.
    pub files: usize,
    /// How much of them has been read, 0 to 1.
    pub share: f64,
    /// Whole seconds of sound heard, where it is taken from no files but from what plays.
    pub input_s: Option<u32>,
}
