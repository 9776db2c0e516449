//! Where words are written in the editor's window as it opens, in pixels from its left and its upper edge: for a hand on the
//! mouse in a program that knows nothing of the editor. `cargo run -p candlemark-tests --example place -- "Latch"`.

use std::env;

use anyhow::{Context, Result};
use candlemark_editor::Look;
use candlemark_tests::audition::place_after;

fn main() -> Result<()> {
    let words = env::args().nth(1).context("which words?")?;
    let place = place_after(&[], &words, Look::default());
    println!("{} {}", place.x, place.y);
    Ok(())
}
