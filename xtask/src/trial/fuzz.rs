//! `cargo xtask trial fuzz`: minutes of what comes from outside, made up by a fuzzer.

use anyhow::Result;
use clap::Args;

use crate::fuzz;

/// Makes up files, projects and sound, with a fuzzer that checks every address
///
/// Builds cargo-fuzz into target/tools and the targets in tests/fuzz into target/fuzz. What an earlier run found to lead
/// further stays in target/fuzz/corpus; an input that breaks something is left in target/fuzz/faults, and the run fails.
#[derive(Args)]
pub(crate) struct Options {
    /// Seconds for each target
    #[arg(long, default_value_t = 600, value_name = "N")]
    seconds: u32,
    /// Only this target
    #[arg(value_parser = fuzz::TARGETS)]
    target: Option<String>,
}

pub(crate) fn run(options: &Options) -> Result<()> {
    match options.target.as_deref() {
        Some(target) => fuzz::run(&[target], options.seconds),
        None => fuzz::run(&fuzz::TARGETS, options.seconds),
    }
}
