//! A record for tests to write into.

use crate::yardstick::{Record, RecordBand};

/// A whole record that tells of its loudness and of these bands: their nominal frequencies, and their relative levels in dB,
/// which move by 2 dB to either side.
pub(crate) fn a_record(bands: &[(f64, f64)]) -> Record {
    let band = |&(hz, relative_db): &(f64, f64)| RecordBand {
        hz,
        relative_db,
        low_db: relative_db - 2.0,
        high_db: relative_db + 2.0,
        fold_db: None,
    };
    Record {
        title: "a record".into(),
        duration_s: 200.0,
        section: false,
        integrated_lufs: -14.0,
        range_lu: None,
        true_peak_dbtp: None,
        plr_db: None,
        psr_loud_db: None,
        crest_db: None,
        fold_db: None,
        correlation: None,
        bands: bands.iter().map(band).collect(),
    }
}
