//! What lies under the pointer, in words: each from long to short.

use candlemark_session::comparison::BandComparison;
use candlemark_session::figures::{BandFigures, Fold, Spread};
use candlemark_session::words::{SAME_DB, bands, number, signed};

/// What a band of the song does, beside the records where there are any.
pub(crate) fn band(hz: f64, song: Option<&BandFigures>, records: Option<&BandComparison>) -> Vec<String> {
    let name = bands([hz, hz]);
    let mono = song.map(|song| mono(song.fold)).unwrap_or_default();
    match (records, song.and_then(|song| song.relative)) {
        (Some(records), _) => beside(&name, records, mono),
        (None, Some(relative)) => alone(&name, relative, mono),
        (None, None) => vec![format!("{name}: not heard yet"), name],
    }
}

fn beside(name: &str, band: &BandComparison, [mono, mono_short]: [String; 2]) -> Vec<String> {
    let BandComparison { off_db, low_db, high_db, records, outside, .. } = *band;
    let middle = match records {
        1 => "the record",
        2 => "the middle of the two records",
        _ => "the middle record",
    };
    let from = if off_db >= SAME_DB {
        format!("{} dB above {middle}", number(off_db, 1))
    } else if off_db <= -SAME_DB {
        format!("{} dB below {middle}", number(-off_db, 1))
    } else {
        format!("level with {middle}")
    };
    let [low, high, off] = [low_db, high_db, off_db].map(|db| signed(db, 1));
    let (theirs, short) = match (records, outside) {
        (1, _) => (String::new(), String::new()),
        (2, _) => (format!(" ({low} and {high})"), format!(", records {low} and {high}")),
        (_, false) => (format!(", inside theirs ({low} to {high})"), format!(", inside {low} to {high}")),
        (_, true) => (format!(", outside theirs ({low} to {high})"), format!(", outside {low} to {high}")),
    };
    vec![
        format!("{name}: {from}{theirs}{mono}"),
        format!("{name}: {off} dB{short}{mono_short}"),
        format!("{name}: {off} dB{mono_short}"),
        format!("{name}: {off} dB"),
    ]
}

fn alone(name: &str, relative: Spread, [mono, mono_short]: [String; 2]) -> Vec<String> {
    let [low, middle, high] = [relative.low_db, relative.median_db, relative.high_db].map(|db| signed(db, 1));
    vec![
        format!("{name}: {middle} dB beside the song’s loudness, moves from {low} to {high}{mono}"),
        format!("{name}: {middle} dB, moves {low} to {high}{mono_short}"),
        format!("{name}: {middle} dB{mono_short}"),
        format!("{name}: {middle} dB"),
    ]
}

/// What mono leaves, long and short, to be put after a band's or a place's own words. Of silence there is nothing to say.
pub(crate) fn mono(fold: Fold) -> [String; 2] {
    match fold.db() {
        None if fold.kept == Some(0.0) => ["; mono leaves nothing", ", lost in mono"].map(str::to_owned),
        None => Default::default(),
        Some(db) if db.0 > -SAME_DB => ["; mono leaves all of it", ", mono 0.0"].map(str::to_owned),
        Some(db) => {
            [format!("; mono leaves {} dB less", number(-db.0, 1)), format!(", mono {}", number(db.0, 1))]
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixtures;

    fn song(kept: Option<f64>) -> BandFigures {
        let relative = Some(Spread { low_db: -17.0, median_db: -14.0, high_db: -11.5 });
        BandFigures { relative, ..fixtures::band(1600.0, kept) }
    }

    fn records(off_db: f64, records: usize, outside: bool) -> BandComparison {
        let [low_db, high_db] = [-1.2, 2.4];
        BandComparison { off_db, low_db, high_db, records, outside, ..fixtures::records(1600.0, None) }
    }

    #[test]
    fn a_band_is_said_beside_the_records() {
        let kept = Some(10f64.powf(-0.03));
        let said = |off_db, count, outside| {
            band(1600.0, Some(&song(kept)), Some(&records(off_db, count, outside)))[0].clone()
        };
        assert_eq!(
            said(2.1, 3, false),
            "1.6 kHz: 2.1 dB above the middle record, inside theirs (−1.2 to +2.4); mono leaves 0.3 dB less"
        );
        assert_eq!(
            said(-4.0, 3, true),
            "1.6 kHz: 4.0 dB below the middle record, outside theirs (−1.2 to +2.4); mono leaves 0.3 dB less"
        );
        assert!(said(0.01, 2, false).contains("level with the middle of the two records (−1.2 and +2.4)"));
        assert!(said(0.5, 1, false).starts_with("1.6 kHz: 0.5 dB above the record; mono"));
    }

    #[test]
    fn without_records_the_song_is_said_by_itself_and_silence_is_not_a_figure() {
        assert_eq!(
            band(1600.0, Some(&song(Some(0.0))), None)[0],
            "1.6 kHz: −14.0 dB beside the song’s loudness, moves from −17.0 to −11.5; mono leaves nothing"
        );
        assert_eq!(band(31.5, None, None)[0], "31.5 Hz: not heard yet");
        assert!(!band(1600.0, Some(&song(None)), None)[0].contains("mono"));
    }

    #[test]
    fn every_shorter_form_is_shorter() {
        let forms = band(1600.0, Some(&song(Some(0.5))), Some(&records(2.1, 3, false)));
        assert!(forms.windows(2).all(|pair| pair[1].chars().count() < pair[0].chars().count()), "{forms:?}");
    }
}
