//! What the demo can be told.

use std::path::PathBuf;

use clap::Parser;

/// Plays music through the built plugin in a small host, and tells what the meter says of it.
///
/// Without a file it makes its own: three records and a mix with three faults planted in it. Then the exit status is 1 where
/// a fault was not named, or one that is none was. Nothing is played aloud.
#[derive(Parser)]
#[command(bin_name = "candlemark-demo", max_term_width = 100)]
pub struct Arguments {
    /// A sound file to play instead of the demo's own mix
    pub file: Option<PathBuf>,
    /// Put the file beside this yardstick of your shelf
    #[arg(long, value_name = "NAME", requires = "file")]
    pub yardstick: Option<String>,
    /// Draw a picture of the editor even where there is a display for its window
    #[arg(long)]
    pub picture: bool,
    /// Where the music, its yardstick and the picture go [default: target/demo]
    #[arg(long, value_name = "FOLDER")]
    pub into: Option<PathBuf>,
}
