//! The lines of a delivery as people read them.

use super::{Figure, Limit, Line, Unknown, Verdict};
use crate::words::{number, signed};

impl Verdict {
    /// What a person calls it.
    pub fn words(self) -> &'static str {
        match self {
            Self::Held => "held",
            Self::NotHeld => "not held",
            Self::CantTell => "can't tell",
        }
    }
}

impl Unknown {
    /// Why, in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::NotWhole => "the file is not whole",
            Self::Silent => "nothing in it is loud enough",
            Self::TooShort => "it is too short to say",
            Self::NoSuchThing => "a file that is coded like this has none",
        }
    }
}

impl Figure {
    /// What a person calls it.
    pub fn words(self) -> &'static str {
        match self {
            Self::IntegratedLufs => "loudness",
            Self::ShortTermMaxLufs => "loudest 3 s",
            Self::MomentaryMaxLufs => "loudest 0.4 s",
            Self::RangeLu => "range",
            Self::TruePeakDbtp => "true peak",
            Self::FoldDb => "mono fold",
            Self::ClippedRuns => "clips of three samples or more",
            Self::HeadS => "silence before",
            Self::TailS => "silence after",
            Self::SampleRateHz => "sample rate",
            Self::BitDepth => "bits",
            Self::Channels => "channels",
        }
    }

    /// Its unit, with a space before it; empty where it has none.
    pub fn unit(self) -> &'static str {
        match self {
            Self::IntegratedLufs | Self::ShortTermMaxLufs | Self::MomentaryMaxLufs => " LUFS",
            Self::RangeLu => " LU",
            Self::TruePeakDbtp => " dBTP",
            Self::FoldDb => " dB",
            Self::HeadS | Self::TailS => " s",
            Self::SampleRateHz => " Hz",
            Self::ClippedRuns | Self::BitDepth | Self::Channels => "",
        }
    }

    /// The unit of a difference of two.
    fn unit_apart(self) -> &'static str {
        match self {
            Self::IntegratedLufs | Self::ShortTermMaxLufs | Self::MomentaryMaxLufs => " LU",
            Self::TruePeakDbtp => " dB",
            other => other.unit(),
        }
    }

    fn decimals(self) -> usize {
        match self {
            Self::ClippedRuns | Self::SampleRateHz | Self::BitDepth | Self::Channels => 0,
            _ => 2,
        }
    }

    fn number(self, value: f64) -> String {
        // Over and under full scale are told by their sign.
        let number = if self == Self::TruePeakDbtp { signed } else { number };
        number(value, self.decimals())
    }

    fn apart(self, distance: f64) -> String {
        format!("{}{}", number(distance.abs(), self.decimals()), self.unit_apart())
    }
}

impl Limit {
    /// What it asks for, in words, without the unit.
    pub fn words(&self, figure: Figure) -> String {
        // As many digits as it was asked with.
        let plain = |value: f64| {
            if value < 0.0 { format!("−{}", value.abs()) } else { format!("{}", value.abs()) }
        };
        match (self.lowest, self.highest) {
            (Some(low), Some(high)) if low == high => plain(low),
            (Some(low), Some(high)) => format!("{} to {}", plain(low), plain(high)),
            (Some(low), None) => format!("{} or more", plain(low)),
            // Of what can't be less, none at all.
            (None, Some(0.0)) if figure.possible()[0] == 0.0 => "none".to_owned(),
            (None, Some(high)) => format!("{} or less", plain(high)),
            (None, None) => self.one_of.iter().map(|one| plain(*one)).collect::<Vec<_>>().join(" or "),
        }
    }
}

impl Line {
    /// The figure, the limit, and how far they lie apart, or why it can't be told; not the verdict.
    pub fn words(&self) -> String {
        let (figure, unit) = (self.figure, self.figure.unit());
        let value = match (self.value, self.why, self.verdict) {
            (Some(value), ..) => format!("{}{unit}", figure.number(value)),
            (None, None, _) => "lost in mono".to_owned(),
            (None, Some(_), _) => "–".to_owned(),
        };
        let mut words = format!("{} {value}, asked for {}", figure.words(), self.limit.words(figure));
        match (self.verdict, self.distance, self.why) {
            (Verdict::CantTell, _, Some(why)) => {
                words.push_str(": ");
                words.push_str(why.words());
            }
            (Verdict::NotHeld, Some(distance), _) => {
                let side = if distance > 0.0 { "over" } else { "under" };
                let smallest = 0.5 * 10f64.powi(-(figure.decimals() as i32));
                let apart =
                    if distance.abs() < smallest { "a hair".to_owned() } else { figure.apart(distance) };
                words.extend([": ", &apart, " ", side]);
            }
            _ => {}
        }
        words
    }
}
