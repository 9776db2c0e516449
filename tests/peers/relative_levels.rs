//! Relative levels of a whole track: the yardstick's own statistic, from SciPy's filter bank and NumPy's median.

use std::fmt::Write as _;

use candlemark_tests::sound::Sound;

use crate::scipy_measures::Shared;
use crate::track;

/// Of one band: as far as two banks of class 1 lie apart over a whole stretch of music (see `filter_bank`), for
/// the median of windows of 3 s is one of those windows.
const BAND_DB: f64 = 0.8;
/// Over all bands.
const MEAN_DB: f64 = 0.1;
const RMS_DB: f64 = 0.3;

#[test]
fn relative_levels_of_a_track_are_alike() {
    let shared = Shared::new(&Sound::read(&track("electro.ogg")));
    let (ours, theirs) = (shared.ours(), shared.theirs());
    assert!(theirs.gated_cells < theirs.cells, "nothing of it is gated out");
    assert_eq!(ours.bands.len(), theirs.bands.len());
    let mut table = String::from("      Hz      ours   SciPy's  difference\n");
    let mut all = Vec::new();
    for (ours, theirs) in ours.bands.iter().zip(&theirs.bands) {
        assert_eq!(ours.nominal.0, theirs.hz);
        let (ours, hz) = (ours.relative.expect("it sounds").median_db, theirs.hz);
        let apart = ours - theirs.relative_db;
        let _ = writeln!(table, "{hz:>8}{ours:>10.2}{:>10.2}{apart:>12.3}", theirs.relative_db);
        all.push(apart);
    }
    let mean = all.iter().sum::<f64>() / all.len() as f64;
    let rms = (all.iter().map(|apart| apart * apart).sum::<f64>() / all.len() as f64).sqrt();
    println!("{table}    mean{mean:>32.3}, root mean square {rms:.3}\n");
    assert!(all.iter().all(|apart| apart.abs() <= BAND_DB), "{all:.3?}");
    assert!(mean.abs() <= MEAN_DB && rms <= RMS_DB, "mean {mean}, root mean square {rms}");
}
