//! What a screen shows at one moment: plain values, made by the Desk, drawn by anyone.

use std::sync::Arc;

use candlemark_analysis::{Db, Lufs};
use serde::{Deserialize, Serialize};

use crate::candle::Candle;
use crate::comparison::Comparison;
use crate::desk::Desk;
use crate::drift::Drifts;
use crate::figures::{Fold, SongFigures};
use crate::remarks::{Remark, Remarks};
use crate::strip::StripPoint;
use crate::yardstick::Yardstick;

/// Everything that the editor shows. What is undefined, or not there yet, is `None` and shown as a dash.
///
/// It can be written down and read back exactly; every key says its unit. A copy shares what grows with the song.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct View {
    /// Loudness of the last 400 ms.
    #[serde(rename = "momentary_lufs")]
    pub momentary: Option<Lufs>,
    /// Loudness of the last 3 s.
    #[serde(rename = "short_term_lufs")]
    pub short_term: Option<Lufs>,
    /// Integrated loudness of this pass.
    #[serde(rename = "integrated_lufs")]
    pub integrated: Option<Lufs>,
    /// Loudness range of this pass, in LU.
    pub range_lu: Option<f64>,
    /// Largest true peak of this pass, in dBTP.
    pub true_peak_dbtp: Option<Db>,
    /// True peak of the last 3 s less short-term loudness.
    #[serde(rename = "psr_db")]
    pub psr: Option<Db>,
    /// Mono fold of the last 3 s, K-weighted.
    pub fold: Fold,
    /// Correlation of the last 3 s, unweighted.
    pub correlation: Option<f64>,
    /// The song as far as it has been heard.
    pub song: Arc<SongFigures>,
    /// The song beside the yardstick, when one is loaded.
    pub comparison: Option<Comparison>,
    /// What there is to say of the song, the most urgent first.
    pub remarks: Vec<Remark>,
    /// The song strip, by song position.
    pub strip: Arc<[StripPoint]>,
    /// How far the balance has moved.
    pub drifts: Arc<Drifts>,
    /// The host gives no position: those of the strip are times, and it holds the last ten minutes.
    pub strip_by_time: bool,
    /// Where playback is in the song, in seconds. `None` when it stands still.
    pub playhead_s: Option<f64>,
    /// What sounds now is aside: a solo, a record playing through, a click.
    pub aside: bool,
    /// The song's time.
    pub candle: Candle,
    /// Why nothing is measured, where nothing is.
    pub trouble: Option<String>,
}

/// What a Desk works out of the whole song.
#[derive(Clone, Debug, Default)]
pub struct WorkedOut {
    /// The song's figures.
    pub song: Arc<SongFigures>,
    /// The song strip.
    pub strip: Arc<[StripPoint]>,
    /// How far its balance has moved.
    pub drifts: Arc<Drifts>,
}

impl WorkedOut {
    /// What the Desk says now. Work grows with the song's length.
    pub fn of(desk: &Desk) -> Self {
        Self { song: desk.figures().into(), strip: desk.strip().into(), drifts: desk.drifts().into() }
    }
}

impl View {
    /// What `desk` shows now. `worked_out` is what the desk worked out last, which is dear and does not change from frame
    /// to frame; `remarks` are those on this song so far.
    pub fn of(
        desk: &Desk,
        worked_out: WorkedOut,
        yardstick: Option<&Yardstick>,
        remarks: &mut Remarks,
        candle: Candle,
    ) -> Self {
        let WorkedOut { song, strip, drifts } = worked_out;
        let comparison = yardstick.map(|yardstick| Comparison::new(&song, yardstick));
        let remarks = remarks.on(&song, yardstick);
        let mut view = Self { song, comparison, remarks, strip, drifts, candle, ..Self::default() };
        if let Some(reading) = desk.last_reading() {
            view.playhead_s = desk.playhead_s();
            view.aside = desk.is_aside();
            view.strip_by_time = desk.is_by_time();
            let pass = &reading.pass;
            view.momentary = Lufs::of_power(reading.momentary_power);
            view.short_term = Lufs::of_power(reading.short_term_power);
            view.integrated = Lufs::of_power(pass.integrated_power);
            view.range_lu = pass.range_lu;
            view.true_peak_dbtp = Db::of_amplitude(pass.true_peak.into());
            view.psr = Db::of_amplitude(reading.true_peak_3s.into())
                .zip(view.short_term)
                .map(|(peak, loudness)| Db(peak.0 - loudness.0));
            view.fold = Fold { kept: reading.weighted_3s.fold_kept() };
            view.correlation = reading.plain_3s.correlation(reading.channels);
        }
        view
    }
}
