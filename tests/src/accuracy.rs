//! What the tests say of the accuracies, so that a table can be made of it.

/// Tells how far a figure was off at most and how far it may be, in a line that `cargo xtask bench` makes a row of. Fails
/// where it is further off.
#[track_caller]
pub fn held(figure: &str, off: f64, limit: f64, unit: &str) {
    println!("accuracy | {figure} | {off} | {limit} | {unit}");
    assert!(off <= limit, "{figure}: {off} {unit} off, of {limit} at most");
}
