//! How far to turn a record down, so that it is heard as loud as the mix that plays.

use candlemark_analysis::{Lufs, Reading};
use serde::{Deserialize, Serialize};

use crate::words::{SAME_DB, from_to, number};
use crate::yardstick::Yardstick;

/// So much of the pass must have been heard, in seconds (ours): before that its loudness moves with every bar.
const HEARD_S: f64 = 10.0;

/// What to turn down, and by how many dB, to the tenth, before a record is listened to beside the mix. The mix is never to be
/// turned up.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub enum EarMatch {
    /// The record of this yardstick, or its only loudness.
    RecordDown {
        /// By so much.
        by_db: f64,
    },
    /// Its records, of which the quietest asks for the first and the loudest for the second; the first is 0 or more.
    RecordsDown {
        /// For the quietest and for the loudest.
        by_db: [f64; 2],
    },
    /// The mix, at the monitor knob: the records, or some of them, are quieter than it is.
    MixDown {
        /// By so much for the quietest.
        by_db: f64,
    },
    /// Nothing: they are as loud.
    Even,
}

impl EarMatch {
    /// Puts the pass that plays beside the yardstick's records. `None` before ten seconds of the pass were heard, or while
    /// nothing of it is loud enough to count.
    pub fn of(reading: &Reading, yardstick: &Yardstick) -> Option<Self> {
        if reading.pass.seconds < HEARD_S {
            return None;
        }
        let mix = Lufs::of_power(reading.pass.integrated_power)?;
        Self::between(mix, yardstick)
    }

    fn between(mix: Lufs, yardstick: &Yardstick) -> Option<Self> {
        let over = yardstick.records.iter().map(|record| record.integrated_lufs - mix.0);
        let [least, most] = over
            .map(|over| [over, over])
            .reduce(|[least, most], [over, _]| [least.min(over), most.max(over)])?
            .map(to_the_tenth);
        Some(if least < -SAME_DB {
            Self::MixDown { by_db: -least }
        } else if most < SAME_DB {
            Self::Even
        } else if most - least < SAME_DB {
            Self::RecordDown { by_db: most }
        } else {
            Self::RecordsDown { by_db: [least, most] }
        })
    }

    /// It in words.
    pub fn words(&self) -> String {
        match *self {
            Self::RecordDown { by_db } => {
                format!("turn the record down {} dB to hear it fairly", number(by_db, 1))
            }
            Self::RecordsDown { by_db } => {
                format!("turn the records down {} dB to hear them fairly", from_to(by_db))
            }
            Self::MixDown { by_db } => {
                format!("the mix is louder: turn it down {} dB to hear them fairly", number(by_db, 1))
            }
            Self::Even => "as loud as the mix: leave the knob where it is".to_owned(),
        }
    }
}

fn to_the_tenth(db: f64) -> f64 {
    (10.0 * db).round() / 10.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::a_reading::a_reading;
    use crate::a_record::a_record;
    use crate::yardstick::Record;

    fn yardstick(loudness: &[f64]) -> Yardstick {
        let record = |&integrated_lufs: &f64| Record { integrated_lufs, ..a_record(&[]) };
        Yardstick { name: "folk".into(), records: loudness.iter().map(record).collect() }
    }

    fn between(mix: f64, loudness: &[f64]) -> EarMatch {
        EarMatch::between(Lufs(mix), &yardstick(loudness)).unwrap()
    }

    #[test]
    fn a_louder_record_is_turned_down_by_what_it_is_louder() {
        let one = between(-19.6, &[-10.0]);
        assert_eq!(one, EarMatch::RecordDown { by_db: 9.6 });
        assert_eq!(one.words(), "turn the record down 9.6 dB to hear it fairly");
        let three = between(-19.6, &[-10.0, -12.0, -8.54]);
        assert_eq!(three, EarMatch::RecordsDown { by_db: [7.6, 11.1] });
        assert_eq!(three.words(), "turn the records down 7.6 to 11.1 dB to hear them fairly");
    }

    #[test]
    fn nothing_is_ever_turned_up() {
        let quieter = between(-12.0, &[-14.5, -10.0]);
        assert_eq!(quieter, EarMatch::MixDown { by_db: 2.5 });
        assert_eq!(between(-14.0, &[-14.04]), EarMatch::Even);
        for words in [quieter, EarMatch::Even, between(-30.0, &[-8.0])].map(|matched| matched.words()) {
            assert!(!words.contains("up"), "{words}");
        }
    }

    #[test]
    fn before_ten_seconds_of_sound_there_is_nothing_to_say() {
        let mut reading = a_reading();
        let yardstick = yardstick(&[-10.0]);
        // −0.691 + 10·log10(power) (BS.1770-5 Annex 1): 0.01 is −20.691 LUFS.
        (reading.pass.integrated_power, reading.pass.seconds) = (0.01, 9.9);
        assert_eq!(EarMatch::of(&reading, &yardstick), None);
        reading.pass.seconds = 10.0;
        assert_eq!(EarMatch::of(&reading, &yardstick), Some(EarMatch::RecordDown { by_db: 10.7 }));
        reading.pass.integrated_power = 0.0;
        assert_eq!(EarMatch::of(&reading, &yardstick), None);
    }
}
