//! The print sheet of the song in the window: written whole where it was asked for, and over nothing else.

use std::fs;

use super::*;

fn print(instance: &Instance, path: &std::path::Path) -> String {
    let before = instance.seat.shown().trouble.clone();
    instance.order(Order::PrintSheet(path.to_owned()));
    let shown =
        instance.wait_for("what came of it", |shown| shown.trouble.is_some() && shown.trouble != before);
    shown.trouble.clone().unwrap()
}

#[test]
fn the_sheet_of_the_window_is_written_and_nothing_else_is_written_over() {
    let _alone = alone();
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name);
    let mut instance = Instance::new();
    let told = print(&instance, &at("early.html"));
    assert!(told.contains("Play it first") && !at("early.html").exists(), "{told}");

    instance.live_of(SINE, 4);
    instance.wait_for("the song", |shown| shown.song.is_some() && shown.view.song.duration_s > 0.0);
    instance.order(Order::NameSong("Low <Water>".into()));
    instance.wait_for("its name", |shown| shown.view.song_name.is_some());
    let told = print(&instance, &at("sheet"));
    assert!(told.contains("is written") && told.contains("sheet.html"), "{told}");
    let page = fs::read_to_string(at("sheet.html")).unwrap();
    assert!(page.contains("<h2><bdi>Low &lt;Water&gt;</bdi></h2>") && page.contains("rests taken"), "{page}");

    // A sheet is written over under its own name, what is none never.
    fs::write(at("letter.html"), "a letter").unwrap();
    let told = print(&instance, &at("letter.html"));
    assert!(told.contains("letter.html") && told.contains("another name"), "{told}");
    assert_eq!(fs::read_to_string(at("letter.html")).unwrap(), "a letter");
    let told = print(&instance, &at("sheet"));
    assert!(told.contains("did not give whole"), "{told}");
    let told = print(&instance, &at("sheet.html"));
    assert!(told.contains("is written"), "{told}");

    // Where nothing can be, it is told, and the song goes on.
    let told = print(&instance, &at("no such folder").join("a.html"));
    assert!(told.contains("was not written") && told.contains("no such folder"), "{told}");
    let mut names: Vec<_> =
        fs::read_dir(folder.path()).unwrap().map(|entry| entry.unwrap().file_name()).collect();
    names.sort();
    assert_eq!(names, ["letter.html", "sheet.html"]);
}
