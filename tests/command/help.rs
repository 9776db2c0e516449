//! `--help` of every command.

use candlemark_tests::command::Home;

#[test]
fn every_command_has_help_that_names_what_it_takes() {
    let commands: [(&[&str], &[&str]); 15] = [
        (&[], &["measure", "yardstick", "delivery", "room", "compare", "--help", "--version"]),
        (
            &["measure"],
            &[
                "FILE",
                "--yardstick",
                "--delivery",
                "NAME|PATH",
                "--hold",
                "--sheet",
                "--force",
                "--json",
                "--help",
            ],
        ),
        (
            &["room"],
            &["LENGTH", "WIDTH", "HEIGHT", "--rt60", "--from-wall", "--speakers-from", "--feet", "--json"],
        ),
        (&["compare"], &["OLD", "NEW", "--json", "--help"]),
        (&["delivery"], &["list", "show", "--help"]),
        (&["delivery", "list"], &["--json", "--help"]),
        (&["delivery", "show"], &["NAME|PATH", "--json", "--help"]),
        (&["yardstick"], &["take", "list", "show", "rename", "export", "import", "drop", "--help"]),
        (&["yardstick", "take"], &["FILE", "--name", "--json", "--help"]),
        (&["yardstick", "list"], &["--json", "--help"]),
        (&["yardstick", "show"], &["NAME|PATH", "--against", "--json", "--help"]),
        (&["yardstick", "rename"], &["OLD", "NEW", "--json", "--help"]),
        (&["yardstick", "export"], &["NAME", "PATH", "--force", "--json", "--help"]),
        (&["yardstick", "import"], &["PATH", "--name", "--force", "--json", "--help"]),
        (&["yardstick", "drop"], &["NAME", "--json", "--help"]),
    ];
    let home = Home::new();
    for (command, named) in commands {
        let run = home.run(command.iter().copied().chain(["--help"])).well();
        for name in named {
            assert!(run.printed.contains(name), "{command:?} does not name {name}:\n{}", run.printed);
        }
    }
}

#[test]
fn what_is_not_understood_is_told() {
    let home = Home::new();
    let wrong: [&[&str]; 9] = [
        &[],
        &["measure"],
        &["measure", "--no-such-option", "a.wav"],
        &["yardstick"],
        &["room", "5", "4"],
        &["measure", "a.wav", "--hold"],
        &["measure", "a.wav", "--force"],
        &["yardstick", "take", "a.wav"],
        &["no-such-command"],
    ];
    for arguments in wrong {
        // A value that is none is told without the usage.
        home.run(arguments).refused(&["--help"]);
    }
}

#[test]
fn the_version_is_the_objects_version() {
    let home = Home::new();
    let version = home.run(["--version"]).printed;
    let object = home.run(["yardstick", "list", "--json"]).object();
    assert_eq!(version.trim(), format!("candlemark {}", object["candlemark"].as_str().unwrap()));
}
