//! Whatever a file is called: its name is told in one line, orders no terminal about, and turns nothing but itself.

use std::ffi::OsString;
use std::fs;
use std::path::{Path, PathBuf};

use candlemark_tests::command::{Home, Run, run_in};

use crate::files::{bytes, noise, wav};
use crate::sheets::{hold, parsed, texts};

/// Red from here on, a bell, a line of its own, and C1's own way to begin an order.
const NAME: &str = "a\u{1b}[31m\u{7}b\n  loudness −9\u{9b}1m.wav";
const SHOWN: &str = r"a\u{1b}[31m\u{7}b\n  loudness −9\u{9b}1m.wav";
/// What follows is written from right to left.
const TURNED: &str = "old \u{202e}vaw.wav";

#[track_caller]
fn names_it(run: &Run) {
    assert!(run.printed.contains(SHOWN), "{:?}", run.printed);
    for text in [&run.printed, &run.told] {
        let raw = text.chars().find(|letter| letter.is_control() && *letter != '\n');
        assert_eq!(raw, None, "{text:?}");
        assert!(!text.lines().any(|line| line.starts_with("  loudness −9")), "{text:?}");
    }
}

#[test]
fn every_page_tells_a_name_in_one_line_and_orders_no_terminal_about() {
    let home = Home::new();
    let path = wav(home.folder(), NAME, &noise(30.0));
    let path = path.to_str().unwrap();
    let other = wav(home.folder(), TURNED, &noise(30.0));
    let other = other.to_str().unwrap();
    names_it(&home.run(["measure", path]));
    let side_by_side = home.run(["measure", path, other]);
    names_it(&side_by_side);
    assert!(side_by_side.printed.lines().any(|line| line.ends_with(&format!("   {SHOWN}"))));
    for pair in [[path, other], [other, path]] {
        let run = home.run(["compare", pair[0], pair[1]]).well();
        names_it(&run);
    }
    names_it(&home.run(["yardstick", "take", path, "--name", "mine"]));
    names_it(&home.run(["yardstick", "show", "mine"]));
    let lent = home.folder().join(NAME.replace(".wav", ".toml"));
    let run = home.run(["yardstick", "export", "mine", lent.to_str().unwrap()]).well();
    assert!(run.printed.contains(&SHOWN.replace(".wav", ".toml")), "{:?}", run.printed);
    assert_eq!(run.printed.lines().count(), 1, "{:?}", run.printed);
}

#[test]
fn a_home_and_a_profile_may_be_called_anything_too() {
    let home = Home::new();
    let folder = home.folder().join(NAME);
    fs::create_dir_all(folder.join("deliveries")).unwrap();
    let song = wav(home.folder(), "song.wav", &noise(5.0));
    let profile = b"format = \"candlemark-delivery\"\nversion = 1\nsource = \"the\\u001bchoir\"\n[hold]\nfold_db = { lowest = -9 }\n";
    let profile = bytes(&folder.join("deliveries"), &format!("{NAME}.toml"), profile);
    let run = |arguments: &[&Path]| run_in(&folder, arguments);
    names_it(&run(&["yardstick", "list"].map(Path::new)));
    names_it(&run(&["delivery", "list"].map(Path::new)));
    let measured = run(&[Path::new("measure"), &song, Path::new("--delivery"), &profile]);
    names_it(&measured);
    assert!(measured.printed.contains(r"the\u{1b}choir"), "{:?}", measured.printed);
}

#[test]
fn on_a_sheet_a_name_stands_by_itself_wherever_it_is() {
    let home = Home::new();
    let folder = home.folder();
    // Three that are alike make the fourth an odd one.
    let songs = [NAME, TURNED, "plain.wav"].map(|name| wav(folder, name, &noise(5.0)));
    let broken = bytes(folder, "broken \u{202e}.wav", b"no sound");
    let loud = wav(folder, "loud \u{202e}.wav", &noise(5.0).times(4.0));
    let sheet = folder.join("sheet.html");
    let files = songs.iter().chain([&broken, &loud]);
    let arguments = [PathBuf::from("measure")].into_iter().chain(files.cloned());
    home.run(arguments.chain(["--sheet".into(), sheet.clone()]).map(OsString::from));
    let page = fs::read_to_string(&sheet).unwrap();
    assert!(!page.chars().any(|letter| letter.is_control() && letter != '\n'), "{page:?}");
    let html = parsed(&sheet);
    hold(&html);
    let names = [SHOWN, TURNED, "plain.wav", "broken \u{202e}.wav", "loud \u{202e}.wav"];
    assert_eq!(texts(&html, "h2 bdi"), names);
    assert_eq!(texts(&html, "th a bdi"), names);
    let broken = broken.to_str().unwrap();
    assert_eq!(texts(&html, ".trouble bdi"), [broken]);
    assert!(texts(&html, ".trouble")[0].starts_with(&format!("{broken}: this is not a sound file")));
    assert_eq!(texts(&html, ".odd bdi"), ["loud \u{202e}.wav"]);
    assert!(texts(&html, ".odd")[0].starts_with("“loud \u{202e}.wav” is "));
    // Nowhere else does one stand that turns what follows.
    let turning = |which| texts(&html, which).concat().matches('\u{202e}').count();
    assert_eq!((turning("bdi"), turning("bdi bdi")), (turning("main"), 0));
}
