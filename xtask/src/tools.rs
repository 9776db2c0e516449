//! Programs of others that the workspace builds for itself, each of one version, in target/tools.

use std::path::PathBuf;
use std::process::Command;

use anyhow::Result;

use crate::{folders, process};

/// A program whose sources cargo fetches.
pub(crate) struct Tool {
    /// Its name: the package's and the program's.
    pub(crate) name: &'static str,
    /// The version that is used.
    pub(crate) version: &'static str,
    /// What for.
    pub(crate) why: &'static str,
}

impl Tool {
    /// The program, which is built where it is missing or of another version.
    pub(crate) fn ensure(&self) -> Result<PathBuf> {
        let Self { name, version, why } = self;
        let tools = folders::target().join("tools");
        let program = tools.join("bin").join(format!("{name}{}", std::env::consts::EXE_SUFFIX));
        let told = process::output(Command::new(&program).arg("--version"));
        if told.is_ok_and(|told| told.trim().ends_with(version)) {
            return Ok(program);
        }
        eprintln!("Building {name} {version} {why} (a few minutes, once)");
        // Unoptimised, it is built in half the time and still answers within seconds.
        process::run(
            process::cargo(["install", "--locked", "--debug", "--force", "--root"])
                .arg(&tools)
                .arg(format!("{name}@{version}")),
        )?;
        Ok(program)
    }
}
