//! What goes to standard output, and what becomes of a reader that has gone away.

use std::io::{BufRead as _, BufReader, Read as _, pipe};
use std::process::Stdio;

use candlemark_tests::command::Home;

use crate::files::{noise, take, wav};

#[test]
fn with_json_there_is_one_object_on_standard_output_and_nothing_else() {
    let home = Home::new();
    let path = wav(home.folder(), "sound.wav", &noise(12.0));
    let path = path.to_str().unwrap();
    let commands: [(&[&str], i32); 8] = [
        (&["measure", path, path, "--json"], 0),
        (&["measure", path, "missing.wav", "--json"], 2),
        (&["yardstick", "list", "--json"], 0),
        (&["yardstick", "take", path, "--name", "mine", "--json"], 0),
        (&["yardstick", "list", "--json"], 0),
        (&["yardstick", "show", "mine", "--json"], 0),
        (&["measure", path, "--yardstick", "mine", "--json"], 0),
        (&["yardstick", "drop", "mine", "--json"], 0),
    ];
    for (command, status) in commands {
        let run = home.run(command);
        assert_eq!(run.status, Some(status), "{command:?}: {}", run.told);
        assert_eq!(run.object()["candlemark"].as_str(), Some(env!("CARGO_PKG_VERSION")), "{command:?}");
        assert_eq!(run.told.is_empty(), status == 0, "{command:?}: {}", run.told);
    }
}

/// As `| head -1` does: reads a line, and goes.
#[test]
fn a_reader_of_one_line_gets_it() {
    let home = Home::new();
    let path = wav(home.folder(), "sound.wav", &noise(4.0));
    for json in [&[][..], &["--json"]] {
        let mut command = home.command(["measure"].iter().chain(json));
        command.args([&path; 6]).stdout(Stdio::piped()).stderr(Stdio::piped());
        let mut child = command.spawn().unwrap();
        let mut line = String::new();
        BufReader::new(child.stdout.take().unwrap()).read_line(&mut line).unwrap();
        assert!(!line.is_empty());
        let mut told = String::new();
        child.stderr.take().unwrap().read_to_string(&mut told).unwrap();
        let status = child.wait().unwrap().code();
        // Whether it was done before the reader went is chance.
        assert!(matches!(status, Some(0 | 2)), "{status:?}: {told}");
        assert_eq!(told, "");
    }
}

/// Nobody reads from the start: every write fails, at once.
#[test]
fn without_any_reader_it_ends_quietly() {
    let home = Home::new();
    let path = wav(home.folder(), "sound.wav", &noise(4.0));
    let path = path.to_str().unwrap();
    take(&home, "mine", [path]);
    let commands: [&[&str]; 6] = [
        &["measure", path],
        &["measure", path, "--json"],
        &["measure", path, "--yardstick", "mine"],
        &["yardstick", "list"],
        &["yardstick", "show", "mine"],
        &["yardstick", "take", path, "--name", "another"],
    ];
    for arguments in commands {
        let (reader, writer) = pipe().unwrap();
        drop(reader);
        let mut command = home.command(arguments);
        let output =
            command.stdout(writer).stderr(Stdio::piped()).spawn().unwrap().wait_with_output().unwrap();
        let told = String::from_utf8_lossy(&output.stderr);
        assert_eq!((output.status.code(), &*told), (Some(2), ""), "{arguments:?}");
    }
}
