//! What a screen shows at one moment: plain values, made by the Desk, drawn by anyone.

use std::sync::Arc;

use candlemark_analysis::{Db, Lufs};
use serde::{Deserialize, Serialize};

use crate::as_heard::HeardBand;
use crate::candle::Candle;
use crate::chair::AtChair;
use crate::comparison::Comparison;
use crate::desk::Desk;
use crate::drift::Drifts;
use crate::ear_match::EarMatch;
use crate::elsewhere::Elsewhere;
use crate::figures::{Fold, SongFigures, over};
use crate::lights_out::{Dark, Listen};
use crate::pencil::{MetersRead, PencilMark};
use crate::remarks::{Around, Given, Remark, Remarks, Stage};
use crate::strip::StripPoint;

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
    /// What to turn down before a record is listened to beside what plays. `None` while that is aside or a render.
    pub ear_match: Option<EarMatch>,
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
    /// What is being done with the song.
    pub stage: Stage,
    /// The song's time.
    pub candle: Candle,
    /// What a person calls the song. `None` while it has no name.
    pub song_name: Option<String>,
    /// Loudness kept on each playback elsewhere; empty before the song has a balance.
    pub elsewhere: Vec<Elsewhere>,
    /// The level at the chair.
    pub at_chair: AtChair,
    /// How the third octaves are heard at the chair's level, where that is known. Shown to whoever asks for it.
    pub as_heard: Option<Vec<HeardBand>>,
    /// Nominal frequencies, in hertz, of the bands in which the room is not to be believed.
    pub room_doubt_hz: Vec<f64>,
    /// Pencil marks, in the order in which they were made.
    pub pencil: Arc<[PencilMark]>,
    /// Lights-out passes that are over, in their order.
    pub listens: Arc<[Listen]>,
    /// The lights are out.
    pub dark: Option<Dark>,
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

/// What a song means: beside the records, elsewhere, and in sentences.
#[derive(Clone, Debug, Default)]
pub struct Meaning {
    /// The song beside the yardstick, when one is in use.
    pub comparison: Option<Comparison>,
    /// Loudness kept on each playback elsewhere; empty before the song has a balance.
    pub elsewhere: Vec<Elsewhere>,
    /// What there is to say of it, the most urgent first.
    pub remarks: Vec<Remark>,
}

impl Meaning {
    /// What was worked out means this; `remarks` are those on this song so far.
    pub fn of(worked_out: &WorkedOut, remarks: &mut Remarks, around: &Around) -> Self {
        let song = &worked_out.song;
        let elsewhere = Elsewhere::all(&song.bands, around.yardstick);
        let drifts = Some(&*worked_out.drifts);
        let remarks = remarks.on(&Given { song, around: *around, drifts, elsewhere: &elsewhere });
        let comparison = around.yardstick.map(|yardstick| Comparison::new(song, yardstick));
        Self { comparison, elsewhere, remarks }
    }
}

impl View {
    /// What `desk` shows now. `worked_out` is what the desk worked out last, and `meaning` what that means: both are dear
    /// and do not change from frame to frame.
    pub fn of(desk: &Desk, worked_out: WorkedOut, meaning: Meaning, around: Around) -> Self {
        let Around { yardstick, stage, candle, .. } = around;
        let WorkedOut { song, strip, drifts } = worked_out;
        let Meaning { comparison, elsewhere, remarks } = meaning;
        let mut view =
            Self { song, comparison, remarks, strip, drifts, stage, candle, elsewhere, ..Self::default() };
        if let Some(reading) = desk.last_reading() {
            view.playhead_s = desk.playhead_s();
            view.aside = desk.is_aside();
            view.strip_by_time = desk.is_by_time();
            let plays = !view.aside && !reading.place.offline;
            view.ear_match =
                yardstick.filter(|_| plays).and_then(|yardstick| EarMatch::of(reading, yardstick));
            let pass = &reading.pass;
            view.momentary = Lufs::of_power(reading.momentary_power);
            view.integrated = Lufs::of_power(pass.integrated_power);
            view.range_lu = pass.range_lu;
            view.true_peak_dbtp = Db::of_amplitude(pass.true_peak.into());
            let read = MetersRead::of(reading);
            view.short_term = read.short_term;
            view.psr = over(read.true_peak_dbtp, read.short_term);
            (view.fold, view.correlation) = (read.fold, read.correlation);
        }
        view
    }
}
