//! Whether a record that was taken from what plays went through the mix's own processing.

use crate::words::number;
use crate::yardstick::{Record, Yardstick};

/// The same record played through a plain bus differs by less than this in how far its peaks stand over its loudness
/// (ours): another decoder or sample rate moves true peaks by some tenths.
const SAME_DB: f64 = 1.0;
/// Lengths that lie closer than this share of the longer are those of one record heard whole (ours): of a section the loud
/// parts may be missing.
const SAME_LENGTH: f64 = 0.1;

/// What there is to say of the bus through which a record was taken.
#[derive(Clone, Debug, PartialEq)]
pub enum BusProcessing {
    /// The same record is on the shelf, and its peaks stand over its loudness as they did here.
    Plain,
    /// They stand otherwise.
    Works {
        /// The record's title on the shelf.
        title: String,
        /// Which ratio it is.
        which: Ratio,
        /// What it was here and is on the shelf, in dB.
        here_and_there_db: [f64; 2],
    },
    /// There is nothing to tell it by.
    Unknown,
}

/// How far peaks stand over loudness.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ratio {
    /// In the loud parts (PSR).
    LoudParts,
    /// On the whole (PLR).
    Whole,
}

impl BusProcessing {
    /// Puts a record that was taken from what plays beside those of the same title and length in `shelf`.
    pub fn of<'a>(taken: &Record, shelf: impl IntoIterator<Item = &'a Yardstick>) -> Self {
        let records = shelf.into_iter().flat_map(|yardstick| &yardstick.records);
        let same = records.filter(|record| is_same_record(taken, record));
        let judged: Vec<Self> = same.filter_map(|record| beside(taken, record)).collect();
        // Which of several on the shelf was taken rightly can't be known: one that agrees is enough.
        let plain = judged.iter().find(|judged| **judged == Self::Plain).cloned();
        plain.or_else(|| judged.into_iter().next()).unwrap_or(Self::Unknown)
    }

    /// It as a sentence or two; `None` when there is nothing to say.
    pub fn words(&self) -> Option<String> {
        match self {
            Self::Plain => None,
            Self::Unknown => Some(
                "Was the bus’s own processing off while it played? If it was not, turn it off and take the record again."
                    .to_owned(),
            ),
            Self::Works { title, which, here_and_there_db: [here, there] } => {
                let parts = match which {
                    Ratio::LoudParts => "its loud parts (PSR)",
                    Ratio::Whole => "its loudness (PLR)",
                };
                Some(format!(
                    "Peaks stand {} dB over {parts} here, and {} dB in “{title}” on your shelf: something on the bus worked on \
                     the record. Turn the bus’s own processing off and take it again.",
                    number(*here, 1),
                    number(*there, 1)
                ))
            }
        }
    }
}

/// Titles are files' names, or what a person wrote.
fn is_same_record(taken: &Record, record: &Record) -> bool {
    let longer_s = taken.duration_s.max(record.duration_s);
    let is_as_long = (taken.duration_s - record.duration_s).abs() <= SAME_LENGTH * longer_s;
    is_as_long && song_of(&taken.title) == song_of(&record.title)
}

fn song_of(title: &str) -> String {
    let stem = title.rsplit_once('.').filter(|(_, ending)| is_ending(ending)).map(|(stem, _)| stem);
    // Files of one name have their folders before it.
    let name = stem.map(|stem| stem.rsplit(['/', '\\']).next().unwrap_or(stem));
    name.unwrap_or(title).trim().to_lowercase()
}

/// Endings of the sound files that can be read have no more letters than this, and no spaces.
fn is_ending(text: &str) -> bool {
    (1..=4).contains(&text.len()) && text.bytes().all(|byte| byte.is_ascii_alphanumeric())
}

fn beside(taken: &Record, record: &Record) -> Option<BusProcessing> {
    let loud = taken.psr_loud_db.zip(record.psr_loud_db);
    let whole = taken.plr_db.zip(record.plr_db);
    let apart = |pair: Option<(f64, f64)>| pair.filter(|(here, there)| (here - there).abs() > SAME_DB);
    let works = |which, (here, there)| BusProcessing::Works {
        title: record.title.clone(),
        which,
        here_and_there_db: [here, there],
    };
    apart(loud)
        .map(|pair| works(Ratio::LoudParts, pair))
        .or_else(|| apart(whole).map(|pair| works(Ratio::Whole, pair)))
        .or_else(|| (loud.is_some() || whole.is_some()).then_some(BusProcessing::Plain))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::a_record::a_record;

    fn record(title: &str, duration_s: f64, psr_loud_db: f64, plr_db: f64) -> Record {
        let (plr_db, psr_loud_db) = (Some(plr_db), Some(psr_loud_db));
        Record { title: title.into(), duration_s, plr_db, psr_loud_db, ..a_record(&[]) }
    }

    fn shelf(records: Vec<Record>) -> [Yardstick; 1] {
        [Yardstick { name: "folk".into(), records }]
    }

    #[test]
    fn a_compressor_on_the_bus_shows_beside_the_same_record_from_its_file() {
        let shelf = shelf(vec![record("Low Water.flac", 200.0, 9.0, 13.0)]);
        let taken = |psr, plr| BusProcessing::of(&record("low water", 195.0, psr, plr), &shelf);
        assert_eq!(taken(8.6, 12.5), BusProcessing::Plain);
        assert_eq!(taken(8.6, 12.5).words(), None);
        let works = taken(7.1, 12.0);
        let BusProcessing::Works { which, here_and_there_db, .. } = &works else { panic!("{works:?}") };
        assert_eq!((*which, *here_and_there_db), (Ratio::LoudParts, [7.1, 9.0]));
        let words = works.words().unwrap();
        assert!(
            words.contains("7.1 dB over its loud parts") && words.contains("“Low Water.flac”"),
            "{words}"
        );
        let whole = taken(8.6, 11.0).words().unwrap();
        assert!(whole.contains("11.0 dB over its loudness (PLR) here, and 13.0 dB"), "{whole}");
    }

    #[test]
    fn what_can_not_be_told_is_asked() {
        let taken = record("Low Water", 200.0, 7.0, 12.0);
        let others = [
            record("High Water.flac", 200.0, 9.0, 13.0),
            // A section of it: its loud parts may lie elsewhere.
            record("Low Water.flac", 50.0, 9.0, 13.0),
            Record { psr_loud_db: None, plr_db: None, ..record("Low Water.flac", 200.0, 0.0, 0.0) },
        ];
        for other in others {
            let said = BusProcessing::of(&taken, &shelf(vec![other]));
            assert_eq!(said, BusProcessing::Unknown);
            assert!(said.words().unwrap().ends_with("take the record again."));
        }
    }

    #[test]
    fn one_on_the_shelf_that_agrees_is_enough() {
        let taken = record("Low Water", 200.0, 9.2, 13.1);
        let records =
            vec![record("Low Water.mp3", 200.0, 7.0, 11.0), record("Low Water.flac", 200.0, 9.0, 13.0)];
        assert_eq!(BusProcessing::of(&taken, &shelf(records)), BusProcessing::Plain);
    }

    #[test]
    fn a_full_stop_in_a_title_is_no_ending() {
        assert_eq!(song_of("Song No. 5"), "song no. 5");
        assert_eq!(song_of("Low Water.FLAC"), "low water");
        assert_eq!(song_of("Low Water"), "low water");
    }

    #[test]
    fn a_folder_that_tells_two_files_apart_is_no_part_of_the_song() {
        assert_eq!(song_of("2019/Low Water.flac"), "low water");
        assert_eq!(song_of("Rock\\Low Water.flac"), "low water");
        assert_eq!(song_of("High / Low Water"), "high / low water", "what a person wrote is the song's name");
    }
}
