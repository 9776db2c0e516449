//! Yardsticks called otherwise, written out and brought in.

use std::fs;

use candlemark_tests::command::Home;

use crate::files::{noise, take, wav};

fn home() -> Home {
    let home = Home::new();
    for (name, seconds) in [("folk", 6.0), ("jazz", 7.0)] {
        let record = wav(home.folder(), &format!("{name}.wav"), &noise(seconds));
        take(&home, name, [record]);
    }
    home
}

fn names(home: &Home) -> Vec<String> {
    let object = home.run(["yardstick", "list", "--json"]).object();
    let name = |entry: &serde_json::Value| entry["name"].as_str().unwrap().to_owned();
    object["yardsticks"].as_array().unwrap().iter().map(name).collect()
}

#[test]
fn one_that_is_called_otherwise_is_found_under_its_new_name_alone() {
    let home = home();
    let run = home.run(["yardstick", "rename", "folk", "Warm folk", "--json"]).well();
    let object = run.object();
    assert_eq!((object["was"].as_str(), object["name"].as_str()), (Some("folk"), Some("Warm folk")));
    assert_eq!(names(&home), ["jazz", "Warm folk"]);
    let shown = home.run(["yardstick", "show", "Warm folk", "--json"]).object();
    assert_eq!(shown["yardstick"]["name"], "Warm folk");
    let page = home.run(["yardstick", "rename", "Warm folk", "folk"]).well();
    assert!(page.printed.starts_with("\"Warm folk\" is called \"folk\" now"), "{}", page.printed);
    home.run(["yardstick", "rename", "folk", "JAZZ"]).refused(&["already"]);
    home.run(["yardstick", "rename", "blues", "soul"]).refused(&["\"blues\""]);
    assert_eq!(names(&home), ["folk", "jazz"]);
}

#[test]
fn one_that_is_written_out_comes_in_on_another_shelf_as_it_was() {
    let (home, other) = (home(), Home::new());
    let out = home.folder().join("lent.toml");
    let lent = out.to_str().unwrap();
    let run = home.run(["yardstick", "export", "folk", lent]);
    assert_eq!((run.status, run.printed.trim()), (Some(0), format!("wrote \"folk\" to {lent}").as_str()));
    assert_eq!(fs::read(&out).unwrap(), fs::read(home.folder().join("yardsticks/folk.toml")).unwrap());

    let run = other.run(["yardstick", "import", lent, "--json"]).well();
    assert_eq!(run.object()["yardstick"]["name"], "folk");
    let mut shown = [&home, &other].map(|home| home.run(["yardstick", "show", "folk", "--json"]).object());
    for shown in &mut shown {
        shown["path"] = serde_json::Value::Null;
    }
    assert_eq!(shown[0], shown[1]);
    let page = other.run(["yardstick", "import", lent, "--name", "of a friend"]).well();
    assert!(page.printed.contains("\"of a friend\" is on your shelf now, 1 record"), "{}", page.printed);
    assert_eq!(names(&other), ["folk", "of a friend"]);
}

#[test]
fn nothing_is_written_over_unless_that_is_said() {
    let home = home();
    let out = home.folder().join("lent.toml");
    let lent = out.to_str().unwrap();
    assert_eq!(home.run(["yardstick", "export", "folk", lent]).status, Some(0));
    let folk = fs::read(&out).unwrap();
    home.run(["yardstick", "export", "jazz", lent]).refused(&["--force"]);
    assert_eq!(fs::read(&out).unwrap(), folk);
    assert_eq!(home.run(["yardstick", "export", "jazz", lent, "--force"]).status, Some(0));
    assert_ne!(fs::read(&out).unwrap(), folk);

    let on_shelf = home.folder().join("yardsticks/folk.toml");
    home.run(["yardstick", "import", lent, "--name", "folk"]).refused(&["already"]);
    assert_eq!(fs::read(&on_shelf).unwrap(), folk);
    assert_eq!(home.run(["yardstick", "import", lent, "--name", "folk", "--force"]).status, Some(0));
    assert_ne!(fs::read(&on_shelf).unwrap(), folk);
    assert_eq!(names(&home), ["folk", "jazz"]);

    // A slip of the hand must not cost a song.
    let song = home.folder().join("folk.wav");
    let before = fs::read(&song).unwrap();
    home.run(["yardstick", "export", "folk", song.to_str().unwrap(), "--force"])
        .refused(&["remove it yourself"]);
    assert_eq!(fs::read(&song).unwrap(), before);
}
