//! The level at the chair: what the music measures there, from a position of the monitor knob that was marked with a
//! sound-level meter.
//!
//! It is an estimate, of this session only. No level is called safe: the rest of the day is not known here. Local rules
//! and a hearing professional come first.

use candlemark_analysis::bands::{BAND_COUNT, mid_band};
use candlemark_analysis::{BandPowers, Reading};
use serde::{Deserialize, Serialize};

use crate::a_weighting::a_weighting_db;
use crate::exposure::{niosh_day_share, who_week_share};

/// How far the estimate may be off, in dB (ours): two for a meter, one and a half each for the place of the head and for
/// how two speakers add up, one for what lies between third octaves, as a root of squares.
pub const PLUS_MINUS_DB: f64 = 3.1;

/// What a person is taken to mean to listen at, to begin with, in dBA: talking is still possible (common practice, no
/// source).
pub const MEANT_DBA: f64 = 65.0;

/// The least and the most that a person may say to mean, in dBA (ours): under the one nothing is judged well, and the other
/// is no level to mean for hours.
pub const MEANT_LIMITS_DBA: [f64; 2] = [50.0, 80.0];

/// A level is above what was meant when it was so for some minutes: the time constant of that average, in seconds (ours).
const RECENT_S: f64 = 300.0;
/// Not judged on less than this since the knob was last turned or confirmed, in seconds (ours); where it is turned up to
/// compare, or for a moment, on less than that average takes.
const LISTENED_S: f64 = 60.0;

/// Readings of a sound-level meter that are taken for ones, in dBA (ours): quieter than any room, and where a hand would
/// have left the knob.
pub const READINGS_DBA: [f64; 2] = [30.0, 100.0];

/// A named position of the monitor knob.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Knob {
    /// For most of the work.
    #[default]
    Quiet,
    /// To compare.
    Normal,
    /// For a moment.
    Loud,
}

impl Knob {
    /// Every one of them.
    pub const ALL: [Self; 3] = [Self::Quiet, Self::Normal, Self::Loud];

    /// What a person calls it.
    pub fn name(self) -> &'static str {
        match self {
            Self::Quiet => "quiet",
            Self::Normal => "normal",
            Self::Loud => "loud",
        }
    }
}

/// What was read of the noise at the chair, from one speaker, with the knob in one position.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct MonitorMark {
    /// What the meter showed, A-weighted.
    pub read_dba: f64,
    /// The noise that was played, A-weighted, in dB of mean power: a sine of full scale is −3.01.
    pub noise_db: f64,
}

impl MonitorMark {
    /// A mark. `None` for a reading that can't be one.
    pub fn new(read_dba: f64, noise_db: f64) -> Option<Self> {
        let [least, most] = READINGS_DBA;
        ((least..=most).contains(&read_dba) && noise_db.is_finite()).then_some(Self { read_dba, noise_db })
    }

    /// What an A-weighted mean power in the signal is at the chair, in dBA.
    fn dba(self, power: f64) -> Option<f64> {
        (power > 0.0).then(|| 10.0 * power.log10() + self.read_dba - self.noise_db)
    }
}

/// The marks of one room, by position.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Marks {
    /// Of [`Knob::Quiet`].
    pub quiet: Option<MonitorMark>,
    /// Of [`Knob::Normal`].
    pub normal: Option<MonitorMark>,
    /// Of [`Knob::Loud`].
    pub loud: Option<MonitorMark>,
}

impl Marks {
    /// The mark of a position.
    pub fn of(&self, knob: Knob) -> Option<MonitorMark> {
        match knob {
            Knob::Quiet => self.quiet,
            Knob::Normal => self.normal,
            Knob::Loud => self.loud,
        }
    }

    /// Puts the mark of a position.
    pub fn put(&mut self, knob: Knob, mark: Option<MonitorMark>) {
        let place = match knob {
            Knob::Quiet => &mut self.quiet,
            Knob::Normal => &mut self.normal,
            Knob::Loud => &mut self.loud,
        };
        *place = mark;
    }
}

/// What there is to show of the level at the chair.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum AtChair {
    /// The position of the knob has no mark.
    #[default]
    NoMark,
    /// On headphones nothing is known of the level.
    Headphones,
    /// The mark was not confirmed in this session: the knob may have been turned since.
    Unconfirmed(Knob),
    /// The level.
    Level(ChairLevel),
}

/// The level at the chair, in this session, since its mark was confirmed.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct ChairLevel {
    /// The position of the knob.
    pub knob: Knob,
    /// Over the last 3 s, A-weighted. `None` in silence.
    pub now_dba: Option<f64>,
    /// Averaged by energy over what was listened to. `None` before anything was.
    pub averaged_dba: Option<f64>,
    /// How far both may be off, in dB.
    pub plus_minus_db: f64,
    /// What was listened to, in seconds.
    pub listened_s: f64,
    /// Its share of the day of NIOSH's recommended limit, 1 for the whole.
    pub niosh_day_share: f64,
    /// Its share of the adult's week of WHO and ITU, 1 for the whole.
    pub who_week_share: f64,
    /// How far the last minutes lay above what the person means to listen at, in dB; less than 0 under it. `None` before
    /// a minute was listened to.
    pub over_meant_db: Option<f64>,
}

impl AtChair {
    /// How far the last minutes lay above what the person means to listen at, in dB. `None` where that is not known.
    pub fn over_meant_db(&self) -> Option<f64> {
        match self {
            Self::Level(level) => level.over_meant_db,
            _ => None,
        }
    }
}

impl ChairLevel {
    /// What such a level is, in words (common practice, no source).
    pub fn words(&self) -> &'static str {
        match self.now_dba.or(self.averaged_dba) {
            None => "silence",
            Some(dba) if dba < 55.0 => "whispering level",
            Some(dba) if dba < 68.0 => "talking level",
            Some(dba) if dba < 76.0 => "raised voices",
            Some(dba) if dba < 85.0 => "loud: for minutes",
            Some(_) => "very loud: turn it down",
        }
    }
}

/// Listens along.
#[derive(Clone, Debug)]
pub struct Chair {
    marks: Marks,
    knob: Knob,
    headphones: bool,
    /// By position: the mark was read or confirmed in this session.
    confirmed: [bool; Knob::ALL.len()],
    meant_dba: f64,
    heard: Heard,
}

/// What was listened to since the mark was confirmed.
#[derive(Clone, Copy, Debug, Default)]
struct Heard {
    now_dba: Option<f64>,
    /// 10^(dBA/10), times seconds.
    energy: f64,
    seconds: f64,
    niosh_day_share: f64,
    who_week_share: f64,
    /// 10^(dBA/10), of the last minutes with the knob where it is.
    recent: f64,
    /// How long it has been there, in seconds.
    recent_s: f64,
}

impl Default for Chair {
    fn default() -> Self {
        Self {
            marks: Marks::default(),
            knob: Knob::default(),
            headphones: false,
            confirmed: [false; Knob::ALL.len()],
            meant_dba: MEANT_DBA,
            heard: Heard::default(),
        }
    }
}

impl Chair {
    /// Takes the marks that there are.
    pub fn set_marks(&mut self, marks: Marks) {
        for knob in Knob::ALL {
            self.confirmed[knob as usize] &= self.marks.of(knob) == marks.of(knob);
        }
        self.marks = marks;
    }

    /// Puts the mark of a position that has just been read: that confirms it.
    pub fn put_mark(&mut self, knob: Knob, mark: MonitorMark) {
        self.marks.put(knob, Some(mark));
        self.knob = knob;
        self.forget_recent();
        self.confirmed[knob as usize] = true;
    }

    /// The knob was turned to this position, by a hand that says so.
    pub fn set_knob(&mut self, knob: Knob) {
        if self.knob != knob {
            self.knob = knob;
            self.heard.now_dba = None;
            self.forget_recent();
        }
    }

    /// What was heard with the knob elsewhere is no reason to turn it down now.
    fn forget_recent(&mut self) {
        (self.heard.recent, self.heard.recent_s) = (0.0, 0.0);
    }

    /// The person says that the knob is where it is marked.
    pub fn confirm(&mut self) {
        self.forget_recent();
        self.confirmed[self.knob as usize] = self.marks.of(self.knob).is_some();
    }

    /// The person listens on headphones, or on the speakers again.
    pub fn set_headphones(&mut self, headphones: bool) {
        self.headphones = headphones;
    }

    /// What the person means to listen at, in dBA.
    pub fn set_meant_dba(&mut self, meant_dba: f64) {
        self.meant_dba = meant_dba;
    }

    /// Listens to a reading that sounded for so many seconds; an offline render is none, nobody hears it.
    pub fn listen(&mut self, reading: &Reading, seconds: f64) {
        let Some(mark) = self.mark().filter(|_| !reading.place.offline) else { return };
        self.heard.now_dba = mark.dba(a_weighted_power(&reading.bands_3s));
        let Some(dba) = self.heard.now_dba else { return };
        let energy = 10f64.powf(dba / 10.0);
        self.heard.energy += energy * seconds;
        self.heard.seconds += seconds;
        self.heard.niosh_day_share += niosh_day_share(dba, seconds);
        self.heard.who_week_share += who_week_share(dba, seconds);
        self.average(energy, seconds);
    }

    /// Nothing has sounded for so many seconds.
    pub fn be_still(&mut self, seconds: f64) {
        self.heard.now_dba = None;
        if self.heard.recent_s > 0.0 {
            self.average(0.0, seconds);
        }
    }

    /// Puts so many seconds to the last minutes.
    fn average(&mut self, energy: f64, seconds: f64) {
        let Heard { recent, recent_s, .. } = &mut self.heard;
        *recent_s += seconds;
        *recent += (energy - *recent) * (seconds / recent_s.min(RECENT_S)).min(1.0);
    }

    /// The mark that tells of the level now.
    fn mark(&self) -> Option<MonitorMark> {
        self.marks.of(self.knob).filter(|_| self.confirmed[self.knob as usize] && !self.headphones)
    }

    /// What there is to show.
    pub fn at_chair(&self) -> AtChair {
        let Heard { now_dba, energy, seconds, niosh_day_share, who_week_share, recent, recent_s } =
            self.heard;
        // Louder positions are there to compare, and for a moment.
        let judged_from_s = if self.knob == Knob::Quiet { LISTENED_S } else { RECENT_S };
        if self.headphones {
            AtChair::Headphones
        } else if self.marks.of(self.knob).is_none() {
            AtChair::NoMark
        } else if !self.confirmed[self.knob as usize] {
            AtChair::Unconfirmed(self.knob)
        } else {
            let averaged = |energy: f64| (energy > 0.0).then(|| 10.0 * energy.log10());
            AtChair::Level(ChairLevel {
                knob: self.knob,
                now_dba,
                averaged_dba: averaged(energy / seconds.max(f64::MIN_POSITIVE)),
                plus_minus_db: PLUS_MINUS_DB,
                listened_s: seconds,
                niosh_day_share,
                who_week_share,
                over_meant_db: averaged(recent)
                    .filter(|_| recent_s >= judged_from_s)
                    .map(|recent_dba| recent_dba - self.meant_dba),
            })
        }
    }
}

/// A-weighted mean power of what both speakers play, as unrelated sounds add up: third octaves, each weighted at its
/// mid-band. A mono bus plays from both.
fn a_weighted_power(bands: &BandPowers) -> f64 {
    let power = |index: usize| {
        let both = f64::from(bands[index].left) + f64::from(bands[index].right);
        both * 10f64.powf(a_weighting_db(mid_band(index)) / 10.0)
    };
    (0..BAND_COUNT).map(power).sum()
}

#[cfg(test)]
mod tests;
