//! Running other programs, so that a person sees what runs and why it failed.

use std::env;
use std::ffi::OsStr;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use std::process::{Command, ExitStatus, Stdio};

use anyhow::{Context, Result, bail};
use serde_json::Value;

use crate::folders;

/// Cargo, the same one that runs this, in the workspace.
pub(crate) fn cargo<S: AsRef<OsStr>>(arguments: impl IntoIterator<Item = S>) -> Command {
    let mut command = Command::new(env::var_os("CARGO").unwrap_or_else(|| "cargo".into()));
    command.current_dir(folders::workspace()).args(arguments);
    command
}

/// Shows the command and runs it; an exit status other than 0 is an error.
pub(crate) fn run(command: &mut Command) -> Result<()> {
    let status = status(command)?;
    if !status.success() {
        bail!("`{}` failed ({status})", line(command));
    }
    Ok(())
}

/// Shows the command and runs it, whatever it ends with.
pub(crate) fn status(command: &mut Command) -> Result<ExitStatus> {
    let line = line(command);
    eprintln!("$ {line}");
    command.status().with_context(|| format!("can't start `{line}`"))
}

/// Runs the command silently and gives what it printed; an exit status other than 0 is an error that
/// carries what it said.
pub(crate) fn output(command: &mut Command) -> Result<String> {
    let line = line(command);
    let output = command.output().with_context(|| format!("can't start `{line}`"))?;
    if !output.status.success() {
        bail!("`{line}` failed ({}):\n{}", output.status, String::from_utf8_lossy(&output.stderr).trim_end());
    }
    String::from_utf8(output.stdout).with_context(|| format!("`{line}` printed something that is not UTF-8"))
}

/// Whether the command can be run here and succeeds.
pub(crate) fn succeeds(command: &mut Command) -> bool {
    silently(command).is_ok_and(|status| status.success())
}

/// Whether there is such a program on the path.
pub(crate) fn exists(program: &str) -> bool {
    let started = silently(Command::new(program).arg("--version"));
    !started.is_err_and(|error| error.kind() == ErrorKind::NotFound)
}

fn silently(command: &mut Command) -> std::io::Result<ExitStatus> {
    command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null()).status()
}

/// Lets cargo build, and gives the last program that its messages tell of.
pub(crate) fn built(cargo: &mut Command) -> Result<PathBuf> {
    cargo.args(["--message-format", "json-render-diagnostics"]).stderr(Stdio::inherit());
    eprintln!("$ {}", line(cargo));
    executable(&output(cargo)?)
}

fn executable(messages: &str) -> Result<PathBuf> {
    messages
        .lines()
        .filter_map(|line| serde_json::from_str::<Value>(line).ok())
        .filter_map(|message| message.get("executable")?.as_str().map(PathBuf::from))
        .next_back()
        .context("cargo built it, yet named no executable")
}

/// The command as a person would type it.
pub(crate) fn line(command: &Command) -> String {
    let program = command.get_program();
    let name = Path::new(program).file_name().unwrap_or(program);
    let arguments = command.get_args().map(|argument| quoted(&argument.to_string_lossy()));
    std::iter::once(name.to_string_lossy().into_owned()).chain(arguments).collect::<Vec<_>>().join(" ")
}

fn quoted(argument: &str) -> String {
    if argument.is_empty() || argument.contains([' ', ';', '\'', '"', '*', '(', '|', '&']) {
        format!("'{}'", argument.replace('\'', r"'\''"))
    } else {
        argument.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_command_is_shown_as_it_would_be_typed() {
        let mut command = Command::new("/usr/bin/python3");
        command.args(["-c", "import venv; print('x')", "plain"]);
        assert_eq!(line(&command), r"python3 -c 'import venv; print('\''x'\'')' plain");
    }

    #[test]
    fn the_executable_is_read_from_cargos_messages() {
        let messages = "{\"reason\":\"compiler-artifact\",\"executable\":null}\n\
                        {\"reason\":\"compiler-artifact\",\"executable\":\"deps/measures-1\"}\n\
                        {\"reason\":\"build-finished\",\"success\":true}\n";
        assert_eq!(executable(messages).unwrap(), PathBuf::from("deps/measures-1"));
        assert!(executable("{\"reason\":\"build-finished\",\"success\":true}").is_err());
    }

    #[test]
    fn a_program_that_is_not_there_is_told_from_one_that_fails() {
        assert!(!exists("candlemark-no-such-program"));
        assert!(exists("cargo"));
        let mut failing = Command::new("cargo");
        assert!(!succeeds(failing.arg("no-such-subcommand-of-cargo")));
        assert!(run(Command::new("cargo").arg("no-such-subcommand-of-cargo").stderr(Stdio::null())).is_err());
    }
}
