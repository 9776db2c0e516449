//! `cargo xtask demo`: the plugin at work, on music of its own or on a file.

use std::path::PathBuf;
use std::process::Command;

use anyhow::Result;
use clap::Args;

use crate::bundle::{self, Profile};
use crate::process;

/// Shows what the plugin says of a mix
///
/// Builds the plugin, makes a little music of its own (three records, and a mix with three faults planted in it), takes a
/// yardstick from the records, plays the mix through the plugin in a small host, and prints what the meter says, the faults
/// by name. Where there is an X11 display the plugin's window is open meanwhile; elsewhere the same picture goes to
/// target/demo. Nothing is installed, and nothing is played aloud. The exit status is 1 where a fault was not named, or one
/// that is none was.
#[derive(Args)]
pub(crate) struct Options {
    /// A sound file to play instead
    file: Option<PathBuf>,
    /// Put the file beside this yardstick of your shelf
    #[arg(long, value_name = "NAME", requires = "file")]
    yardstick: Option<String>,
    /// Draw a picture even where there is a display
    #[arg(long)]
    picture: bool,
    /// Build quickly and with debug assertions
    #[arg(long)]
    debug: bool,
}

pub(crate) fn run(options: &Options) -> Result<()> {
    let profile = Profile::of_debug(options.debug);
    profile.build(&["candlemark-shell", "candlemark-demo"])?;
    let bundles = bundle::lay_out(profile)?;
    let mut demo = Command::new(profile.program("candlemark-demo")?);
    demo.env("CANDLEMARK_CLAP", bundles.clap).args(&options.file);
    demo.args(options.yardstick.iter().flat_map(|name| ["--yardstick", name]));
    demo.args(options.picture.then_some("--picture"));
    process::run(&mut demo)
}
