//! K-weighting, gates, fold, correlation and crest factor, written anew in NumPy from BS.1770-5 and our own definitions.

use std::fmt::Write as _;

use candlemark_tests::sound::Sound;

use crate::scipy_measures::{Shared, Theirs};
use crate::track;

/// Both are double precision; the filters at 44.1 kHz come from the standard's table by the same law, and our
/// histogram splits blocks at the gate to 0.1 LU alone.
const INTEGRATED_LU: f64 = 0.02;
/// Powers of the same gated cells.
const FOLD_DB: f64 = 0.01;
const CORRELATION: f64 = 1e-4;
const CREST_DB: f64 = 0.01;

#[test]
fn whole_tracks_are_gated_alike() {
    let mut table =
        String::from("ours less NumPy's       I, LU     fold, dB   correlation    crest, dB   gated cells\n");
    for wanted in ["option.ogg", "mus2.ogg"] {
        let shared = Shared::new(&Sound::read(&track(wanted)));
        let (ours, theirs) = (shared.ours(), shared.theirs_without_bands());
        let integrated = ours.integrated.unwrap().0 - theirs.integrated_lufs;
        let fold = ours.fold.db().unwrap().0 - theirs.fold_db;
        let correlation = ours.correlation.unwrap() - theirs.correlation;
        let crest = ours.crest.unwrap().0 - theirs.crest_db;
        let Theirs { gated_cells, cells, .. } = theirs;
        let _ = writeln!(
            table,
            "{wanted:<18}{integrated:>11.5}{fold:>13.6}{correlation:>14.2e}{crest:>13.6}   {gated_cells} of {cells}"
        );
        assert!(integrated.abs() <= INTEGRATED_LU, "{wanted}: {integrated} LU");
        assert!(fold.abs() <= FOLD_DB, "{wanted}: {fold} dB");
        assert!(correlation.abs() <= CORRELATION, "{wanted}: {correlation}");
        assert!(crest.abs() <= CREST_DB, "{wanted}: {crest} dB");
    }
    println!("{table}");
}
