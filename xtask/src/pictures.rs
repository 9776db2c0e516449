//! `cargo xtask pictures`: the look of the window beside the pictures that are kept of it.

use anyhow::Result;
use clap::Args;

use crate::process;

/// Draws the window off screen and compares it with the pictures that are kept.
///
/// The kept ones lie in tests/pictures/kept. What differs is written into target/pictures/failed, with the difference in
/// red. Look at it before you keep it.
#[derive(Args)]
pub(crate) struct Options {
    /// Keep the pictures that differ, in place of those that were kept
    #[arg(long)]
    keep: bool,
}

pub(crate) fn run(options: &Options) -> Result<()> {
    let mut tests =
        process::cargo(["test", "--locked", "--package", "candlemark-tests", "--test", "pictures"]);
    tests.args(["kept::", "--", "--nocapture"]);
    if options.keep {
        tests.env("CANDLEMARK_KEEP_PICTURES", "1");
    }
    process::run(&mut tests)
}
