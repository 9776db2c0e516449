//! Running other programs, so that a person sees what runs and why it failed.

use std::env;
use std::ffi::OsStr;
use std::io::ErrorKind;
use std::process::{Command, Stdio};

use anyhow::{Context, Result, bail};

use crate::folders;

/// Cargo, the same one that runs this, in the workspace.
pub(crate) fn cargo<S: AsRef<OsStr>>(arguments: impl IntoIterator<Item = S>) -> Command {
    let mut command = Command::new(env::var_os("CARGO").unwrap_or_else(|| "cargo".into()));
    command.current_dir(folders::workspace()).args(arguments);
    command
}

/// Shows the command and runs it; an exit status other than 0 is an error.
pub(crate) fn run(command: &mut Command) -> Result<()> {
    let line = line(command);
    eprintln!("$ {line}");
    let status = command.status().with_context(|| format!("can't start `{line}`"))?;
    if !status.success() {
        bail!("`{line}` failed ({status})");
    }
    Ok(())
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
    command
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status()
        .is_ok_and(|status| status.success())
}

/// Whether there is such a program on the path.
pub(crate) fn exists(program: &str) -> bool {
    let started = Command::new(program)
        .arg("--version")
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status();
    !started.is_err_and(|error| error.kind() == ErrorKind::NotFound)
}

/// The command as a person would type it.
pub(crate) fn line(command: &Command) -> String {
    let program = command.get_program();
    let name = std::path::Path::new(program).file_name().unwrap_or(program);
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
    fn a_program_that_is_not_there_is_told_from_one_that_fails() {
        assert!(!exists("candlemark-no-such-program"));
        assert!(exists("cargo"));
        let mut failing = Command::new("cargo");
        assert!(!succeeds(failing.arg("no-such-subcommand-of-cargo")));
        assert!(run(Command::new("cargo").arg("no-such-subcommand-of-cargo").stderr(Stdio::null())).is_err());
    }
}
