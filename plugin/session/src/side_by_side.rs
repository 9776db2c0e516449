//! Several songs beside each other: an album, or a pile of mixes of one song. Each is put beside the middle of the others,
//! and the odd one out is named.

use candlemark_analysis::bands::NOMINAL_HZ;
use serde::Serialize;

use crate::comparison::RECORDS_TO_JUDGE;
use crate::distance::distance_db;
use crate::figures::SongFigures;
use crate::octave_groups::OctaveGroup;
use crate::statistics::median;
use crate::words::number;

/// The odd one lies this many times as far from the others as any of them lies from the rest of them (ours): with twice, it is
/// further from all of them than they are from each other on either side.
const TIMES_AS_FAR: f64 = 2.0;

/// Nearer than this a song is none to name, however alike the others are: a step in loudness that is plainly heard from one song
/// to the next (ours).
const LEAST_LOUDNESS_LU: f64 = 1.5;
/// The same of balance, root mean square over the bands (ours).
const LEAST_BALANCE_DB: f64 = 2.0;

/// One song beside the middle of the others.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct BesideOthers {
    /// Integrated loudness over the others' median, in LU. `None` where it has none, or no other has.
    pub loudness_lu: Option<f64>,
    /// Root mean square over the bands of its relative level less the others' median, in dB. `None` without a balance.
    pub balance_db: Option<f64>,
    /// Relative level less the others' median in the five octave groups, from low to high, in dB.
    pub groups_db: [Option<f64>; 5],
}

/// What the odd one out differs in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum OddIn {
    /// It is louder or quieter.
    Loudness,
    /// It is balanced in another way.
    Balance,
}

/// A song that is not like the others.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct OddOne {
    /// Its number, from 0, among all that were put beside each other.
    pub song: usize,
    /// What it differs in.
    pub odd_in: OddIn,
    /// How far from the middle of the others, in LU or dB; of loudness, quieter is under 0.
    pub apart_db: f64,
    /// How far any of the others lies from the middle of the rest of them, at most.
    pub others_db: f64,
}

/// Songs beside each other.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SideBySide {
    /// Each beside the others, in their order.
    pub songs: Vec<BesideOthers>,
    /// Those that are not like the others: one in loudness and one in balance, at most.
    pub odd: Vec<OddOne>,
}

/// Which songs could be measured.
fn measured(songs: &[Option<&SongFigures>]) -> Vec<usize> {
    (0..songs.len()).filter(|song| songs[*song].is_some()).collect()
}

/// A figure of one of these songs, and the middle of the others'.
fn own_and_middle(among: &[usize], song: usize, of: impl Fn(usize) -> Option<f64>) -> Option<[f64; 2]> {
    let others = among.iter().filter(|other| **other != song);
    let mut others: Vec<f64> = others.filter_map(|other| of(*other)).collect();
    Some([of(song)?, median(&mut others)?])
}

/// How far one of these songs lies from the middle of the others of them.
fn loudness_lu(songs: &[Option<&SongFigures>], among: &[usize], song: usize) -> Option<f64> {
    let [own, middle] = own_and_middle(among, song, |song| Some(songs[song]?.integrated?.0))?;
    Some(own - middle)
}

fn balance_db(songs: &[Option<&SongFigures>], among: &[usize], song: usize) -> Option<f64> {
    let of = |song: usize, hz: f64| {
        let band = songs[song]?.bands.iter().find(|band| band.nominal.0 == hz)?;
        Some(band.relative?.median_db)
    };
    distance_db(NOMINAL_HZ.into_iter().filter_map(|hz| own_and_middle(among, song, |song| of(song, hz))))
}

impl SideBySide {
    /// Puts songs beside each other; `None` is one that could not be measured, and keeps its number.
    pub fn new(songs: &[Option<&SongFigures>]) -> Self {
        let all = measured(songs);
        let beside = |song: usize| BesideOthers {
            loudness_lu: loudness_lu(songs, &all, song),
            balance_db: balance_db(songs, &all, song),
            groups_db: OctaveGroup::ALL.map(|group| {
                let of = |song: usize| group.relative_db(&songs[song]?.bands);
                let [own, middle] = own_and_middle(&all, song, of)?;
                Some(own - middle)
            }),
        };
        let odd = [
            odd_one(songs, OddIn::Loudness, LEAST_LOUDNESS_LU, loudness_lu),
            odd_one(songs, OddIn::Balance, LEAST_BALANCE_DB, balance_db),
        ];
        Self { songs: (0..songs.len()).map(beside).collect(), odd: odd.into_iter().flatten().collect() }
    }
}

/// The song that lies furthest from the others, where the others are much nearer to each other: looked at without it, or a
/// song that is far out would make the others look far apart.
fn odd_one(
    songs: &[Option<&SongFigures>],
    odd_in: OddIn,
    least: f64,
    apart: impl Fn(&[Option<&SongFigures>], &[usize], usize) -> Option<f64>,
) -> Option<OddOne> {
    let all = measured(songs);
    let told = |song: &usize| Some((*song, apart(songs, &all, *song)?));
    let told: Vec<(usize, f64)> = all.iter().filter_map(told).collect();
    let (song, apart_db) = told.iter().copied().max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()))?;
    let rest: Vec<usize> = told.iter().map(|(other, _)| *other).filter(|other| *other != song).collect();
    // As with records, few others do not say how far songs lie apart by themselves.
    if rest.len() < RECORDS_TO_JUDGE {
        return None;
    }
    let others_db =
        rest.iter().filter_map(|other| apart(songs, &rest, *other)).map(f64::abs).fold(0.0, f64::max);
    let is_odd = apart_db.abs() >= least.max(TIMES_AS_FAR * others_db);
    is_odd.then_some(OddOne { song, odd_in, apart_db, others_db })
}

impl OddOne {
    /// One sentence about it. `name` is the song's.
    pub fn words(&self, name: &str, beside: &BesideOthers) -> String {
        let (apart, others) = (number(self.apart_db.abs(), 1), number(self.others_db, 1));
        match self.odd_in {
            OddIn::Loudness => {
                let how = if self.apart_db > 0.0 { "louder" } else { "quieter" };
                format!(
                    "{name} is {apart} LU {how} than the middle of the others, which keep within {others}."
                )
            }
            OddIn::Balance => {
                let groups = OctaveGroup::ALL.into_iter().zip(beside.groups_db);
                let furthest = groups
                    .filter_map(|(group, db)| Some((group, db?)))
                    .max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()));
                let most = furthest.map_or_else(String::new, |(group, db)| {
                    let side = if db > 0.0 { "more" } else { "less" };
                    format!(", most in the {}: {} dB {side}", group.name(), number(db.abs(), 1))
                });
                format!(
                    "{name} is balanced {apart} dB away from the middle of the others, which keep within {others}{most}."
                )
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::figures::{BandFigures, Fold, Spread};
    use candlemark_analysis::{Hertz, Lufs};
    use proptest::prelude::*;

    /// A song of this loudness whose bands from 2 kHz up lie so much higher.
    fn song(lufs: f64, top_db: f64) -> SongFigures {
        let band = |hz: f64| {
            let median_db = -12.0 + if hz >= 2000.0 { top_db } else { 0.0 };
            BandFigures {
                nominal: Hertz(hz),
                level: None,
                relative: Some(Spread { low_db: median_db - 3.0, median_db, high_db: median_db + 3.0 }),
                fold: Fold::default(),
                correlation: None,
            }
        };
        SongFigures {
            integrated: Some(Lufs(lufs)),
            bands: NOMINAL_HZ.map(band).to_vec(),
            ..SongFigures::default()
        }
    }

    fn side_by_side(songs: &[SongFigures]) -> SideBySide {
        SideBySide::new(&songs.iter().map(Some).collect::<Vec<_>>())
    }

    #[test]
    fn each_is_put_beside_the_middle_of_the_others() {
        let album = side_by_side(&[song(-14.0, 0.0), song(-13.0, 0.0), song(-15.0, 6.0)]);
        // The middle of −13 and −15 is −14; of −14 and −15 it is −14.5; of −14 and −13 it is −13.5.
        let loudness: Vec<f64> = album.songs.iter().map(|song| song.loudness_lu.unwrap()).collect();
        assert_eq!(loudness, [0.0, 1.5, -1.5]);
        // 11 of the 31 bands lie 6 dB higher.
        let expected = (36.0f64 * 11.0 / 31.0).sqrt();
        assert!((album.songs[2].balance_db.unwrap() - expected).abs() < 1e-12);
        assert!((album.songs[2].groups_db[4].unwrap() - 6.0).abs() < 1e-9);
        assert_eq!(album.odd, [], "two others do not say how far songs lie apart");
    }

    #[test]
    fn the_odd_one_is_named_with_what_it_differs_in() {
        let mut songs =
            [song(-14.0, 0.0), song(-14.4, 0.4), song(-9.05, 0.2), song(-13.8, -0.2), song(-14.1, 8.0)];
        let album = side_by_side(&songs);
        let odd: Vec<(usize, OddIn)> = album.odd.iter().map(|odd| (odd.song, odd.odd_in)).collect();
        assert_eq!(odd, [(2, OddIn::Loudness), (4, OddIn::Balance)]);
        assert_eq!(
            album.odd[0].words("Ferry", &album.songs[2]),
            "Ferry is 5.0 LU louder than the middle of the others, which keep within 0.4."
        );
        let told = album.odd[1].words("Tides", &album.songs[4]);
        assert!(told.starts_with("Tides is balanced 4.7 dB away from the middle of the others"), "{told}");
        assert!(
            told.ends_with("most in the top: 7.9 dB more.") || told.contains("most in the upper mids"),
            "{told}"
        );
        songs[2] = song(-14.2, 0.2);
        songs[4] = song(-14.1, 0.5);
        assert_eq!(side_by_side(&songs).odd, [], "songs that are alike have none");
    }

    #[test]
    fn two_that_differ_from_the_rest_are_not_one_odd_one() {
        let songs = [song(-14.0, 0.0), song(-14.2, 0.0), song(-8.0, 0.0), song(-8.2, 0.0), song(-14.1, 0.0)];
        assert_eq!(side_by_side(&songs).odd, [], "an album with two loud songs has a plan");
    }

    #[test]
    fn what_can_not_be_measured_keeps_its_number_and_counts_for_nothing() {
        let songs = [song(-14.0, 0.0), song(-14.2, 0.0), song(-13.9, 0.0), song(-8.0, 0.0)];
        let album =
            SideBySide::new(&[Some(&songs[0]), None, Some(&songs[1]), Some(&songs[2]), Some(&songs[3])]);
        assert_eq!(album.songs.len(), 5);
        assert_eq!(album.songs[1].loudness_lu, None);
        assert_eq!(album.odd[0].song, 4);
        let silent = SongFigures::default();
        let with_silence = SideBySide::new(&[Some(&silent), Some(&songs[0])]);
        assert_eq!(
            with_silence.songs[0],
            BesideOthers { loudness_lu: None, balance_db: None, groups_db: [None; 5] }
        );
        assert_eq!(SideBySide::new(&[]).songs.len(), 0);
    }

    proptest! {
        /// All songs as much louder: nothing changes but by rounding. In another order: the same is odd.
        #[test]
        fn only_differences_count(
            levels in prop::collection::vec((-30.0..-5f64, -12.0..12f64), 4..9), by_db in -5.0..5f64,
        ) {
            let songs: Vec<SongFigures> = levels.iter().map(|(lufs, top_db)| song(*lufs, *top_db)).collect();
            let louder: Vec<SongFigures> = levels.iter().map(|(lufs, top_db)| song(lufs + by_db, *top_db)).collect();
            let (one, other) = (side_by_side(&songs), side_by_side(&louder));
            for (one, other) in one.songs.iter().zip(&other.songs) {
                prop_assert!((one.loudness_lu.unwrap() - other.loudness_lu.unwrap()).abs() < 1e-9);
                prop_assert_eq!(one.balance_db, other.balance_db);
            }
            let turned: Vec<SongFigures> = songs.iter().rev().cloned().collect();
            let mut back: Vec<(usize, OddIn)> =
                side_by_side(&turned).odd.iter().map(|odd| (songs.len() - 1 - odd.song, odd.odd_in)).collect();
            back.sort_by_key(|(_, odd_in)| *odd_in == OddIn::Balance);
            let told: Vec<(usize, OddIn)> = one.odd.iter().map(|odd| (odd.song, odd.odd_in)).collect();
            prop_assert_eq!(back, told);
        }
    }
}
