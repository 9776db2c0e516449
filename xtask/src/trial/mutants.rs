//! `cargo xtask trial mutants`: faults put into the code on purpose, to see whether a test finds them.

use std::fs;
use std::path::Path;
use std::process::Command;

use anyhow::{Context, Result, ensure};
use clap::Args;

use crate::tools::Tool;
use crate::{folders, process};

const MUTANTS: Tool = Tool { name: "cargo-mutants", version: "27.1.0", why: "for faults on purpose" };

/// The rooms that Candlemark exists for.
const ROOMS: [&str; 3] = ["handoff", "analysis", "session"];

/// Tests that stand beside the code, and models that are built otherwise: a fault in them proves nothing.
const NOT_THE_CODE: [&str; 5] =
    ["**/tests.rs", "**/tests/**", "**/loom_models.rs", "**/a_reading.rs", "**/a_cell.rs"];

/// What cargo-mutants ends with (its book, "Exit codes").
const ALL_FOUND: i32 = 0;
const SOME_MISSED: i32 = 2;
const SOME_HUNG: i32 = 3;

/// Puts faults into the measures, their meaning and the handoff, one at a time, and runs the tests
///
/// Builds cargo-mutants into target/tools. Of each room one mutant in N is tried, against the room's own tests and then,
/// where those miss it, against the standards; all of them take days. What is missed is listed in target/mutants.
#[derive(Args)]
pub(crate) struct Options {
    /// Try one mutant in N
    #[arg(long, default_value_t = 20, value_name = "N", value_parser = clap::value_parser!(u32).range(1..))]
    one_in: u32,
    /// Which of them: from 0 to N less 1
    #[arg(long, default_value_t = 0, value_name = "K")]
    part: u32,
    /// Only this room
    #[arg(value_parser = ROOMS)]
    room: Option<String>,
}

pub(crate) fn run(options: &Options) -> Result<()> {
    ensure!(options.part < options.one_in, "--part is from 0 to {}", options.one_in - 1);
    let rooms = ROOMS.into_iter().filter(|room| options.room.as_ref().is_none_or(|only| only == room));
    let program = MUTANTS.ensure()?;
    println!(
        "{:10} {:>6} {:>6} {:>6} {:>12} {:>6} {:>9}",
        "room", "tried", "found", "hung", "by standards", "missed", "not built"
    );
    for room in rooms {
        let folder = folders::target().join("mutants").join(room);
        let own =
            tried(&mut mutants(&program, room, &folder.join("own"), &part(options)), &folder.join("own"))?;
        let missed: Vec<String> = own.missed.iter().map(|name| exactly(name)).collect();
        let mut left = own.missed.clone();
        if !missed.is_empty() {
            let to = folder.join("standards");
            let names = missed.iter().flat_map(|name| ["--re".to_owned(), name.clone()]).collect::<Vec<_>>();
            let mut standards = mutants(&program, room, &to, &names);
            // The room itself has no test of that name, so that it can't be tried without a fault first; its own tests were.
            standards.args(["--baseline", "skip", "--timeout", "300", "--build-timeout", "900"]);
            standards.args(["--test-package", "candlemark-tests", "--", "--test", "standards"]);
            left = tried(&mut standards, &to)?.missed;
        }
        let Outcome { caught, hung, missed, unviable } = own;
        let all = caught + hung + missed.len() + unviable;
        let by_standards = missed.len() - left.len();
        println!(
            "{room:10} {all:>6} {caught:>6} {hung:>6} {by_standards:>12} {:>6} {unviable:>9}",
            left.len()
        );
        for name in left {
            println!("    {name}");
        }
    }
    Ok(())
}

/// One mutant in N, spread over the whole room.
fn part(options: &Options) -> Vec<String> {
    let shard = format!("{}/{}", options.part, options.one_in);
    ["--sharding", "round-robin", "--shard", &shard].map(str::to_owned).into()
}

/// cargo-mutants for a room, which it tries in a copy of the workspace.
fn mutants(program: &Path, room: &str, to: &Path, which: &[String]) -> Command {
    let mut mutants = Command::new(program);
    mutants.args(["mutants", "--package", &format!("candlemark-{room}"), "--no-times", "--output"]).arg(to);
    mutants.args(NOT_THE_CODE.iter().flat_map(|glob| ["--exclude", glob])).args(which);
    mutants.current_dir(folders::workspace());
    mutants
}

/// What became of the mutants of one run.
struct Outcome {
    caught: usize,
    hung: usize,
    missed: Vec<String>,
    unviable: usize,
}

/// Tries them. That some are missed is no failure of the trial, but that the tests fail without a fault is.
fn tried(mutants: &mut Command, to: &Path) -> Result<Outcome> {
    folders::made(to)?;
    let status = process::status(mutants)?;
    let is_well = matches!(status.code(), Some(ALL_FOUND | SOME_MISSED | SOME_HUNG));
    ensure!(is_well, "`{}` failed: {status}", process::line(mutants));
    let list = |name: &str| {
        let path = to.join("mutants.out").join(format!("{name}.txt"));
        let text = fs::read_to_string(&path).with_context(|| format!("can't read {}", path.display()))?;
        anyhow::Ok(text.lines().map(str::to_owned).collect::<Vec<_>>())
    };
    Ok(Outcome {
        caught: list("caught")?.len(),
        hung: list("timeout")?.len(),
        missed: list("missed")?,
        unviable: list("unviable")?.len(),
    })
}

/// A pattern that is this name and nothing else.
fn exactly(name: &str) -> String {
    let mut pattern = String::from("^");
    for letter in name.chars() {
        if r"\.+*?()|[]{}^$#&-~".contains(letter) {
            pattern.push('\\');
        }
        pattern.push(letter);
    }
    pattern.push('$');
    pattern
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_is_found_by_its_pattern_as_it_is() {
        assert_eq!(
            exactly("src/a.rs:3:9: replace f -> Option<T> with Some(1.0)"),
            r"^src/a\.rs:3:9: replace f \-> Option<T> with Some\(1\.0\)$"
        );
    }
}
