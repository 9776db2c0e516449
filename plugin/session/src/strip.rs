//! The song strip: short-term loudness by song position, for whoever draws it.

use candlemark_analysis::Lufs;
use serde::{Deserialize, Serialize};

/// One point of the strip: the 3 s of the song that end at a cell's end.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct StripPoint {
    /// Song position of the cell's end, in seconds.
    pub song_s: f64,
    /// Length of the cell, in seconds: where the next point lies further on, nothing was heard between.
    pub cell_s: f64,
    /// Short-term loudness of the latest pass. `None` in silence.
    #[serde(rename = "latest_lufs")]
    pub latest: Option<Lufs>,
    /// The same folded to mono and played from both speakers. `None` in silence and where nothing is left.
    #[serde(rename = "mono_lufs")]
    pub mono: Option<Lufs>,
    /// The cell's own loudness in the pass before. `None` where there was none.
    #[serde(rename = "before_lufs")]
    pub before: Option<Lufs>,
    /// True peak of the cell was above 0 dBTP.
    pub over: bool,
    /// What was heard last here is aside: it is not the song as it stands.
    pub aside: bool,
}
