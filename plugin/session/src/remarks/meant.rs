//! What the person has answered to a remark: that they mean it.

use serde::{Deserialize, Serialize};

use super::rules::Found;

/// A finding that is meant. It holds for the song, and for those bands.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Meant {
    /// Name of the rule.
    pub id: String,
    /// What was said.
    pub text: String,
    /// The figure that was meant, in the unit of the rule's limit (dB for most). `None` where nothing was left, so that it
    /// can't get worse.
    pub figure: Option<f64>,
    /// The nominal frequency of the lowest and of the highest band. `None` when it is about the whole.
    pub bands_hz: Option<[f64; 2]>,
}

impl Meant {
    pub(super) fn of(found: &Found) -> Self {
        Self {
            id: found.rule.id.to_owned(),
            text: found.remark.text.clone(),
            figure: Some(found.figure).filter(|figure| figure.is_finite()),
            bands_hz: found.remark.evidence.bands_hz,
        }
    }

    /// Whether the rule has found something that was not meant: worse, or in other bands.
    pub(super) fn is_outdone_by(&self, found: &Found) -> bool {
        let is_elsewhere = match (self.bands_hz, found.remark.evidence.bands_hz) {
            (Some([low, high]), Some([found_low, found_high])) => found_high < low || found_low > high,
            _ => false,
        };
        let is_worse = self.figure.is_some_and(|figure| found.rule.is_worse(found.figure, figure));
        self.id == found.rule.id && (is_elsewhere || is_worse)
    }
}
