//! What a project keeps of an instance: JSON whose fields are JSON again, in whatever format.

use candlemark_analysis::bands::NOMINAL_HZ;
use candlemark_files::to_toml;
use candlemark_session::yardstick::{Record, RecordBand, Yardstick};
use serde_json::{Value, json};

use crate::material::noise;

/// A field of a state.
pub fn field(state: &[u8], name: &str) -> Value {
    let state: Value = serde_json::from_slice(state).expect("a state is JSON");
    let field = state["fields"][name].as_str().unwrap_or_else(|| panic!("it has no {name}"));
    serde_json::from_str(field).expect("a field is JSON")
}

/// A yardstick whose text needs every kind of quoting.
pub fn a_yardstick() -> String {
    let bands = (0..31).map(|index| RecordBand {
        hz: NOMINAL_HZ[index],
        relative_db: -20.0 - index as f64 / 3.0,
        low_db: -25.0 - index as f64 / 3.0,
        high_db: -15.0 - index as f64 / 3.0,
        fold_db: (index > 3).then_some(-0.1),
    });
    to_toml(&Yardstick {
        name: "kitchen".into(),
        records: vec![Record {
            title: "A \"quoted\" title \\ with ünïcode".into(),
            duration_s: 201.5,
            section: false,
            integrated_lufs: -11.25,
            range_lu: Some(5.5),
            true_peak_dbtp: Some(-0.3),
            plr_db: Some(10.95),
            psr_loud_db: Some(8.0),
            crest_db: Some(12.0),
            fold_db: Some(-0.5),
            correlation: Some(0.6),
            bands: bands.collect(),
        }],
    })
}

/// What may stand in a yardstick's place in a state and is none.
pub fn no_yardsticks() -> [Value; 8] {
    [
        json!(null),
        json!(17),
        json!(["a", "list"]),
        json!({ "an": "object" }),
        json!("not a yardstick"),
        json!("name = \"damaged"),
        json!(a_yardstick().replace("relative_db", "relative_dp")),
        json!("\u{0}\u{1}\u{fffd}"),
    ]
}

/// Bytes without a pattern, of many lengths.
pub fn noisy_bytes() -> impl Iterator<Item = Vec<u8>> {
    let lengths = (1..).zip([0, 1, 7, 8, 9, 64, 4096, 100_000]);
    lengths
        .map(|(seed, length)| noise(seed, length, 1.0).iter().map(|sample| sample.to_bits() as u8).collect())
}
