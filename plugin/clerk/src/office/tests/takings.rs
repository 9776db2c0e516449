//! What becomes of what is taken when the project changes meanwhile.

use candlemark_session::song_page::{SongId, SongPage};

use super::answers::tone;
use super::*;

/// A project with one song.
fn project(bits: u128) -> Songs {
    let mut songs = Songs::default();
    songs.keep(SongPage::new(SongId::of_bits(bits)));
    songs
}

/// Opens a project in the instance, and waits until the clerk has it.
fn open(instance: &Instance, songs: Songs) {
    *instance.keeper.opened_songs.lock().unwrap() = Some(songs);
    wait("the clerk", || instance.keeper.opened_songs.lock().unwrap().is_none().then_some(()));
}

#[test]
fn what_was_taken_for_another_project_is_on_the_shelf_and_not_in_use() {
    let _alone = alone();
    let folder = tempfile::tempdir().unwrap();
    let files = vec![tone(folder.path(), "a.wav", 120)];
    let instance = Instance::new();
    open(&instance, project(0xa1));
    instance.keeper.take_into_use(Yardstick { name: "of before".into(), records: vec![record("a", -20.0)] });
    instance.order(Order::Take("for the first".into(), files));
    instance.wait_for("its beginning", |shown| shown.taking.is_some());
    open(&instance, project(0xa2));
    let shown = instance.wait_for("its end", |shown| shown.taking.is_none() && shown.trouble.is_some());
    assert!(shown.shelf.iter().any(|name| name == "for the first"), "{:?}", shown.shelf);
    assert_eq!(shown.in_use.as_deref(), Some("of before"));
    let said = shown.trouble.as_ref().unwrap();
    assert!(said.contains("“for the first” is on your shelf"), "{said}");
}

#[test]
fn the_same_project_again_is_no_other() {
    let _alone = alone();
    let folder = tempfile::tempdir().unwrap();
    let files = vec![tone(folder.path(), "a.wav", 120)];
    let instance = Instance::new();
    open(&instance, project(0xa3));
    instance.order(Order::Take("for the same".into(), files));
    instance.wait_for("its beginning", |shown| shown.taking.is_some());
    // As an undo in the host does.
    open(&instance, project(0xa3));
    let shown = instance.wait_for("its end", |shown| shown.in_use.is_some());
    assert_eq!((shown.in_use.as_deref(), &shown.trouble), (Some("for the same"), &None));
}
