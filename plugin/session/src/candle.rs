//! The candle: the song's time as it burns down, and the rests in it. Time is passed in.

use serde::{Deserialize, Serialize};

/// What a song may take, to begin with: two hours (common practice, no source).
pub const BUDGET_S: f64 = 2.0 * HOUR_S;

/// The least and the most that a song may be given (ours).
pub const BUDGETS_S: [f64; 2] = [15.0 * MINUTE_S, 8.0 * HOUR_S];

/// After so much work ears want a rest, to begin with (common practice, no source).
pub const REST_EVERY_S: f64 = 45.0 * MINUTE_S;

/// The least and the most between two rests (ours).
pub const REST_EVERY_LIMITS_S: [f64; 2] = [20.0 * MINUTE_S, 60.0 * MINUTE_S];

/// A rest takes so long, to begin with (common practice, no source).
pub const REST_FOR_S: f64 = 12.0 * MINUTE_S;

/// The shortest and the longest rest (ours).
pub const REST_FOR_LIMITS_S: [f64; 2] = [5.0 * MINUTE_S, 30.0 * MINUTE_S];

/// So long without sound or work, and the candle stops by itself (ours).
pub const QUIET_S: f64 = 5.0 * MINUTE_S;

/// A rest that is due is put off by so much (ours),
pub const PUT_OFF_S: f64 = 10.0 * MINUTE_S;

/// and no more often than this (ours).
pub const PUT_OFF_MOST: u8 = 2;

/// The share of the budget, at its end, over which the display dims.
const FADE: f64 = 0.1;

/// From when a rest is due the display dims over so much work (ours).
const REST_FADE_S: f64 = 10.0 * MINUTE_S;

/// A sound in a rest is let pass when it is shorter than this (ours): a click of the mouse on "play" by mistake.
const SLIP_S: f64 = 10.0;

const HOUR_S: f64 = 60.0 * MINUTE_S;
pub(crate) const MINUTE_S: f64 = 60.0;

/// What a song's time is, and its rests.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Times {
    /// The song's whole time, in seconds.
    pub budget_s: f64,
    /// Work between two rests, in seconds.
    pub rest_every_s: f64,
    /// How long a rest takes, in seconds.
    pub rest_for_s: f64,
}

impl Default for Times {
    fn default() -> Self {
        Self { budget_s: BUDGET_S, rest_every_s: REST_EVERY_S, rest_for_s: REST_FOR_S }
    }
}

impl Times {
    /// The same, with what nobody can choose brought to what is nearest; what is no number is as to begin with.
    #[must_use]
    pub fn offered(self) -> Self {
        let within = |seconds: f64, [least, most]: [f64; 2], otherwise: f64| {
            if seconds.is_nan() { otherwise } else { seconds.clamp(least, most) }
        };
        Self {
            budget_s: within(self.budget_s, BUDGETS_S, BUDGET_S),
            rest_every_s: within(self.rest_every_s, REST_EVERY_LIMITS_S, REST_EVERY_S),
            rest_for_s: within(self.rest_for_s, REST_FOR_LIMITS_S, REST_FOR_S),
        }
    }
}

/// What went on for some time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Activity {
    /// Sound ran, not in an offline render: somebody listened.
    Sound,
    /// No sound, but a hand in the window.
    Work,
    /// Neither.
    Quiet,
}

/// How it stands with the rests.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Rest {
    /// The next one is due after so much more work, in seconds.
    #[serde(rename = "in_s")]
    In(f64),
    /// It has been due for so much work, in seconds.
    #[serde(rename = "due_for_s")]
    Due(f64),
    /// One is taken, and has so much to go, in seconds.
    #[serde(rename = "resting_s")]
    Resting(f64),
}

/// Whether the candle burns.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Flame {
    /// Nothing has sounded yet.
    Unlit,
    /// It burns.
    Burning,
    /// Five minutes passed without sound or work, or a rest is taken.
    Out,
}

/// A song's time. The first sound lights it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Candle {
    times: Times,
    burnt_s: f64,
    /// Work since the last rest.
    worked_s: f64,
    /// How long there has been no sound and no hand.
    quiet_s: f64,
    /// Sound since a rest was begun.
    slipped_s: f64,
    put_off: u8,
    rests: bool,
    lit: bool,
}

/// What of a candle outlives its instance.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Kept {
    /// What has burnt, in seconds.
    pub burnt_s: f64,
    /// Work since the last rest, in seconds.
    pub worked_s: f64,
    /// How often the rest that is due was put off.
    pub put_off: u8,
}

impl Default for Candle {
    fn default() -> Self {
        Self::of(Times::default())
    }
}

impl Candle {
    /// A fresh candle of so many seconds, which is at least one.
    pub fn new(budget_s: f64) -> Self {
        Self::of(Times { budget_s: budget_s.max(1.0), ..Times::default() })
    }

    /// A fresh candle of these times.
    pub fn of(times: Times) -> Self {
        Self {
            times,
            burnt_s: 0.0,
            worked_s: 0.0,
            quiet_s: 0.0,
            slipped_s: 0.0,
            put_off: 0,
            rests: false,
            lit: false,
        }
    }

    /// Gives the song other times. What has burnt stays burnt.
    pub fn set_times(&mut self, times: Times) {
        self.times = times;
    }

    /// Burns for so many seconds of sound, while no rest is taken.
    pub fn burn(&mut self, seconds: f64) {
        self.advance(seconds, Activity::Sound);
    }

    /// Lets time pass, in seconds. Gives whether a rest has been taken to its end with this.
    ///
    /// Time that runs backwards, or is no number, is none.
    pub fn advance(&mut self, seconds: f64, activity: Activity) -> bool {
        let seconds = if seconds > 0.0 { seconds } else { 0.0 };
        match activity {
            Activity::Sound if self.rests && self.slipped_s + seconds < SLIP_S => {
                self.slipped_s += seconds;
                self.be_quiet(seconds)
            }
            // Looking at the window is no work while one rests.
            Activity::Work if self.rests => self.be_quiet(seconds),
            Activity::Sound | Activity::Work => {
                self.lit |= activity == Activity::Sound;
                self.rests = false;
                self.quiet_s = 0.0;
                self.spend(seconds);
                false
            }
            Activity::Quiet => self.be_quiet(seconds),
        }
    }

    fn be_quiet(&mut self, seconds: f64) -> bool {
        if !self.rests {
            self.spend(seconds.min((QUIET_S - self.quiet_s).max(0.0)));
        }
        self.quiet_s += seconds;
        let is_rested = self.quiet_s >= self.times.rest_for_s;
        let has_worked = self.worked_s > 0.0;
        if is_rested {
            self.end_rest();
        }
        is_rested && has_worked
    }

    fn end_rest(&mut self) {
        self.worked_s = 0.0;
        self.put_off = 0;
        self.rests = false;
    }

    fn spend(&mut self, seconds: f64) {
        if self.lit {
            self.burnt_s += seconds;
            self.worked_s += seconds;
        }
    }

    /// The person goes and rests: the candle stops at once, and what was quiet before counts.
    pub fn rest_now(&mut self) {
        self.rests = true;
        self.slipped_s = 0.0;
    }

    /// Ten minutes more before the rest that is due. False when none is due, or it was put off twice already.
    pub fn put_rest_off(&mut self) -> bool {
        let may = self.may_put_rest_off();
        self.put_off += u8::from(may);
        may
    }

    /// Whether a rest is due that may be put off.
    pub fn may_put_rest_off(&self) -> bool {
        matches!(self.rest(), Rest::Due(_)) && self.put_off < PUT_OFF_MOST
    }

    /// How it stands with the rests.
    pub fn rest(&self) -> Rest {
        let left_s = self.times.rest_every_s + f64::from(self.put_off) * PUT_OFF_S - self.worked_s;
        if self.rests {
            Rest::Resting((self.times.rest_for_s - self.quiet_s).max(0.0))
        } else if left_s > 0.0 {
            Rest::In(left_s)
        } else {
            Rest::Due(-left_s)
        }
    }

    /// Whether it burns.
    pub fn flame(&self) -> Flame {
        if !self.lit {
            Flame::Unlit
        } else if self.rests || self.quiet_s >= QUIET_S {
            Flame::Out
        } else {
            Flame::Burning
        }
    }

    /// Work since the last rest, or since the candle was lit, in seconds.
    pub fn worked_s(&self) -> f64 {
        self.worked_s
    }

    /// The song's whole time, in seconds.
    pub fn budget_s(&self) -> f64 {
        self.times.budget_s
    }

    /// The song's time and its rests.
    pub fn times(&self) -> Times {
        self.times
    }

    /// What has burnt, in seconds; more than the budget when the song took longer.
    pub fn burnt_s(&self) -> f64 {
        self.burnt_s
    }

    /// What is left of it, in seconds; never under 0.
    pub fn left_s(&self) -> f64 {
        (self.times.budget_s - self.burnt_s).max(0.0)
    }

    /// The share that is left, 0 to 1.
    pub fn left_share(&self) -> f64 {
        self.left_s() / self.times.budget_s
    }

    /// Where on it rests are meant to lie, as shares that are left, from high to low.
    pub fn notches(&self) -> impl Iterator<Item = f64> + use<> {
        let Times { budget_s, rest_every_s, .. } = self.times;
        let between = (rest_every_s / budget_s).max(f64::EPSILON);
        (1u32..).map(move |rest| 1.0 - f64::from(rest) * between).take_while(|share| *share > 1e-9).take(64)
    }

    /// How bright the display is to be: 1 until the last tenth of the budget, then evenly down to `floor_share`; from when
    /// a rest is due evenly down to it within ten minutes of work, and at it while one rests.
    pub fn brightness_share(&self, floor_share: f64) -> f64 {
        let of_budget = (self.left_share() / FADE).min(1.0);
        let of_rest = match self.rest() {
            Rest::In(_) => 1.0,
            Rest::Due(for_s) => 1.0 - (for_s / REST_FADE_S).min(1.0),
            Rest::Resting(_) => 0.0,
        };
        floor_share + (1.0 - floor_share) * of_budget.min(of_rest)
    }

    /// Whether another looks the same: to the minute, and to a shade of a screen.
    pub fn looks_like(&self, other: &Self) -> bool {
        let minutes = |candle: &Self| {
            let of_rest = match candle.rest() {
                Rest::In(seconds) => (0, seconds),
                Rest::Due(seconds) => (1, seconds),
                Rest::Resting(seconds) => (2, seconds),
            };
            [candle.left_s(), of_rest.1].map(|seconds| (seconds / MINUTE_S).ceil() as i64 * 3 + of_rest.0)
        };
        let shade = |candle: &Self| (candle.brightness_share(0.0) * 255.0).round() as i64;
        let rest = |candle: &Self| (candle.times, candle.flame(), candle.may_put_rest_off());
        minutes(self) == minutes(other) && shade(self) == shade(other) && rest(self) == rest(other)
    }

    /// What of it is to be kept. `None` while it is unlit: there is no song yet.
    pub fn kept(&self) -> Option<Kept> {
        let Self { burnt_s, worked_s, put_off, .. } = *self;
        self.lit.then_some(Kept { burnt_s, worked_s, put_off })
    }

    /// Goes on with what was kept, `away_s` seconds ago by the clock on the wall. A clock that was put back tells of no
    /// time; what is no time (negative, no number) burns nothing. Time away counts as quiet: enough of it is a rest.
    pub fn take_up(&mut self, kept: Kept, away_s: f64) {
        let sound = |seconds: f64| if seconds.is_finite() { seconds.max(0.0) } else { 0.0 };
        self.burnt_s = sound(kept.burnt_s);
        self.worked_s = sound(kept.worked_s).min(self.burnt_s);
        self.put_off = kept.put_off.min(PUT_OFF_MOST);
        self.lit = true;
        self.rests = false;
        let away_s = sound(away_s);
        self.quiet_s = QUIET_S.max(away_s);
        if away_s >= self.times.rest_for_s {
            self.end_rest();
        }
    }
}

#[cfg(test)]
mod tests;
