//! What each call of the plugin's `process` costs, in instructions: the median, and the longest.

use std::fs;
use std::path::Path;
use std::process::Command;

use anyhow::{Context, Result, bail};

use crate::bundle::{self, Profile};
use crate::{folders, process};

/// The function that hosts call, as Valgrind tells its name.
const CALLED: &str = "nice_plug::wrapper::clap::wrapper::Wrapper<P>::process";

/// Builds the plugin, plays `seconds` of loud music through it under Valgrind, and prints a line of the calls' costs.
pub(super) fn count(program: &Path, seconds: u32) -> Result<()> {
    let plugin = bundle::build(Profile::Release)?.clap;
    let folder = folders::target().join("callgrind");
    fs::create_dir_all(&folder).with_context(|| format!("can't make {}", folder.display()))?;
    let profile = folder.join("calls.out");
    let mut valgrind = Command::new("valgrind");
    valgrind
        .args(["--quiet", "--tool=callgrind", "--combine-dumps=yes"])
        .arg(format!("--toggle-collect={CALLED}"))
        .arg(format!("--dump-after={CALLED}"))
        .arg(format!("--callgrind-out-file={}", profile.display()))
        .arg(program)
        .args(["feed", "plugin", "--seconds", &seconds.to_string()])
        .env("CANDLEMARK_CLAP", plugin);
    process::run(&mut valgrind)?;
    let text = fs::read_to_string(&profile).with_context(|| format!("can't read {}", profile.display()))?;
    let mut calls = costs(&text);
    let Some(longest) = calls.iter().copied().max() else {
        bail!("{} holds no call: the plugin's process has another name now", profile.display());
    };
    calls.sort_unstable();
    let at = |share: f64| calls[((calls.len() - 1) as f64 * share) as usize];
    let median = at(0.5);
    println!("instructions a call of process, {} calls of 64 frames at 48 kHz", calls.len());
    println!(
        "median {median}, 99 of 100 at most {}, longest {longest}: {:.1} times the median",
        at(0.99),
        longest as f64 / median as f64
    );
    Ok(())
}

/// The cost of each call, from a profile with a part for each.
fn costs(profile: &str) -> Vec<u64> {
    let totals = profile.lines().filter_map(|line| line.strip_prefix("totals: "));
    totals.filter_map(|count| count.split(' ').next()?.parse().ok()).filter(|count| *count > 0).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_part_of_a_profile_is_a_call() {
        assert_eq!(
            costs("part: 1\nfn=(1) x\n12 34\ntotals: 500\npart: 2\ntotals: 7\npart: 3\ntotals: 0\n"),
            [500, 7]
        );
        assert!(costs("events: Ir\n").is_empty());
    }
}
