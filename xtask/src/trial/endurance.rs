//! `cargo xtask trial endurance`: an hour of a session at speed, in a host of each format.

use std::time::{SystemTime, UNIX_EPOCH};

use anyhow::Result;
use clap::Args;

use crate::bundle::{self, Profile};
use crate::{folders, process, setup};

/// Plays an hour of a session at speed through the built plugin, as CLAP and as VST3
///
/// Block sizes, sample rates, jumps, loops and stops of the transport, editors, parameters, states and instances come by
/// chance. Sound that is changed, memory or files that grow, an allocation on the audio thread, or a crash fails it. It
/// prints the seed that plays the same again.
#[derive(Args)]
pub(crate) struct Options {
    /// Minutes of sound in each format
    #[arg(long, default_value_t = 60, value_name = "N")]
    minutes: u32,
    /// Where chance begins; otherwise somewhere new
    #[arg(long, value_name = "N")]
    seed: Option<u64>,
}

pub(crate) fn run(options: &Options) -> Result<()> {
    setup::outside()?;
    let bundles = bundle::build(Profile::Debug)?;
    let now_s = || SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |since| since.as_secs());
    let seed = options.seed.unwrap_or_else(now_s);
    println!("seed {seed}");
    // One after the other: each counts the memory of its own process, and two would only share the processors.
    for host in ["clap_host", "vst3_own_host"] {
        let test = "endurance::a_session_lasts_and_nothing_grows";
        let tests = ["test", "--locked", "--package", "candlemark-tests", "--test", host];
        process::run(
            process::cargo(tests)
                .args(["--", "--exact", test, "--nocapture"])
                .env("CANDLEMARK_CLAP", &bundles.clap)
                .env("CANDLEMARK_VST3", &bundles.vst3)
                .env("CANDLEMARK_HOME", folders::target().join("home"))
                .env("CANDLEMARK_ENDURANCE_MINUTES", options.minutes.to_string())
                .env("CANDLEMARK_ENDURANCE_SEED", seed.to_string()),
        )?;
    }
    Ok(())
}
