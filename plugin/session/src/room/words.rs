//! Room doubt as people read it: advice, not findings.

use super::Reason;

impl Reason {
    /// Why the band is doubted, and what it may do to what one hears.
    pub fn words(&self) -> String {
        match self {
            Self::NoModes => "no mode of the room: it may be held back".to_owned(),
            Self::FewerThanBelow => "fewer modes than the band below: it may sink".to_owned(),
            Self::Coinciding { at_hz } => {
                format!(
                    "modes nearly coincide at {at_hz:.0} Hz, and few lie beside them: notes there may boom"
                )
            }
            Self::WallCancels { at_hz } => {
                format!("the wall behind the speakers may take away what is near {at_hz:.0} Hz")
            }
            Self::SpeakersEnd => "lower than your speakers reach".to_owned(),
        }
    }
}
