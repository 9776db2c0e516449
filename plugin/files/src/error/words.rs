//! Where and how much, in the sentences of errors.

pub(super) fn places(count: u32, at_s: Option<f64>) -> String {
    match (count, at_s) {
        (_, None) => " in its header".to_owned(),
        (0 | 1, Some(at_s)) => format!(" at {at_s:.3} s"),
        (count, Some(at_s)) => format!(", in {count} places, the first at {at_s:.3} s"),
    }
}

pub(super) fn cut(read_s: f64, declared_s: Option<f64>) -> String {
    match declared_s {
        Some(declared_s) => {
            format!(
                "too short: it holds {read_s:.3} s of the {declared_s:.3} s of sound that its header declares"
            )
        }
        None if read_s > 0.0 => format!("cut off: it breaks off after {read_s:.3} s of sound"),
        None => "cut off: it breaks off before the sound begins".to_owned(),
    }
}

impl super::FileError {
    /// What it says of the health of a sound that could be measured. `None` for what else can be wrong with a file.
    pub(crate) fn health_words(&self) -> Option<&'static str> {
        Some(match self {
            Self::Truncated { .. } => "it ends too early",
            Self::Damaged { .. } => "it is damaged",
            Self::Changed { .. } => "it changed while it was read",
            Self::Silent { .. } => "it is silent",
            _ => return None,
        })
    }
}
