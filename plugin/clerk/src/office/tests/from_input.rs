//! A record is taken from the input while it plays.

use super::*;

/// Fourteen decibels under the mix.
const RECORD: Sine = Sine { amplitude: 0.02, step: 0.05 };

fn take(instance: &Instance, name: &str, add: bool) {
    instance.order(Order::TakeFromInput { name: name.into(), add });
}

fn begin(instance: &Instance, name: &str, add: bool) {
    take(instance, name, add);
    instance.wait_for("its beginning", |shown| shown.taking.is_some());
}

fn finish(instance: &Instance) -> Arc<Shown> {
    instance.order(Order::FinishInput);
    instance.wait_for("its end", |shown| shown.taking.is_none())
}

#[test]
fn what_plays_becomes_a_yardstick_and_the_mix_gets_nothing_of_it() {
    let _alone = alone();
    let mut instance = Instance::new();
    instance.live_of(SINE, 5);
    let before = instance.wait_for("the mix", |shown| shown.view.song.duration_s >= 3.0);
    let mix = before.view.song.integrated.unwrap().0;
    begin(&instance, "played", false);
    instance.live_of(RECORD, 7);
    let shown = instance.wait_for("its seconds", |shown| {
        shown.taking.as_ref().is_some_and(|taking| taking.input_s.is_some_and(|s| s >= 5))
    });
    assert!(shown.view.aside, "the screen says that this is not the song");
    // Which changes nothing meanwhile.
    instance.order(Order::KeepAside);
    let shown = finish(&instance);
    assert_eq!(shown.in_use.as_deref(), Some("played"));
    assert!(shown.shelf.iter().any(|name| name == "played"), "{:?}", shown.shelf);

    // Nothing on the shelf tells what the bus did to it, so it is asked.
    let said = shown.trouble.as_deref().unwrap();
    assert!(said.starts_with("Less than a minute of it was heard"), "{said}");
    assert!(said.contains("Was the bus’s own processing off while it played?"), "{said}");

    let record = shelf().unwrap().load("played").unwrap().records.remove(0);
    assert_eq!((record.title.as_str(), record.section), ("record 1 of played", true));
    assert!((4.0..=7.0).contains(&record.duration_s), "{}", record.duration_s);
    // Both sines are where the K-weighting is flat, to the decibel: 0.02 lies 14 dB under 0.1.
    assert!((mix - record.integrated_lufs - 14.0).abs() < 1.0, "{mix} and {}", record.integrated_lufs);
    assert_eq!(instance.keeper.yardstick().unwrap().records, [record]);

    instance.live_of(SINE, 4);
    let shown = instance.wait_for("the mix again", |shown| shown.view.song.duration_s >= 7.0);
    assert!(!shown.view.aside);
    assert!(shown.view.song.duration_s <= 9.1, "{}", shown.view.song.duration_s);
    assert!((shown.view.song.integrated.unwrap().0 - mix).abs() < 0.05, "{:?}", shown.view.song.integrated);
    assert!(shown.view.strip.iter().all(|point| !point.aside), "nothing lies aside to be kept by mistake");
}

#[test]
fn a_name_that_is_there_is_added_to_only_when_that_is_said() {
    let _alone = alone();
    let there = Yardstick { name: "three".into(), records: vec![record("a", -20.0)] };
    shelf().unwrap().save(&there).unwrap();
    let mut instance = Instance::new();
    take(&instance, "three", false);
    let shown = instance.wait_for("the trouble", |shown| shown.trouble.is_some());
    assert!(shown.taking.is_none() && shown.trouble.as_ref().unwrap().contains("already"), "{shown:?}");
    begin(&instance, "three", true);
    instance.live_of(RECORD, 6);
    finish(&instance);
    let titles: Vec<String> =
        shelf().unwrap().load("three").unwrap().records.into_iter().map(|record| record.title).collect();
    assert_eq!(titles, ["a", "record 2 of three"]);
    assert_eq!(instance.keeper.yardstick().unwrap().records.len(), 2);
    take(&instance, "not there", true);
    instance.wait_for("the trouble", |shown| shown.trouble.as_ref().is_some_and(|t| t.contains("not there")));
}

#[test]
fn what_is_silent_short_or_a_render_is_refused_in_words() {
    let _alone = alone();
    let mut instance = Instance::new();
    begin(&instance, "nothing", false);
    instance.live_of(Sine { amplitude: 0.0, ..SINE }, 1);
    instance.sound(12, true);
    thread::sleep(2 * ROUND);
    let shown = finish(&instance);
    assert!(shown.trouble.as_ref().unwrap().contains("nothing sounded"), "{:?}", shown.trouble);
    begin(&instance, "nothing", false);
    instance.live_of(RECORD, 2);
    thread::sleep(2 * ROUND);
    let shown = finish(&instance);
    assert!(shown.trouble.as_ref().unwrap().contains("less than three seconds"), "{:?}", shown.trouble);
    assert_eq!(shown.in_use, None);
    assert!(shelf().unwrap().load("nothing").is_err());
}

#[test]
fn it_can_be_broken_off_and_nothing_is_kept() {
    let _alone = alone();
    let mut instance = Instance::new();
    begin(&instance, "broken off", false);
    instance.live_of(RECORD, 5);
    instance.order(Order::StopTaking);
    let shown = instance.wait_for("its end", |shown| shown.taking.is_none());
    assert_eq!((&shown.trouble, &shown.in_use), (&None, &None));
    assert!(shelf().unwrap().load("broken off").is_err());
    instance.order(Order::FinishInput);
    instance.live_of(SINE, 3);
    let shown = instance.wait_for("the mix", |shown| shown.view.song.duration_s >= 1.0);
    assert_eq!((&shown.trouble, &shown.in_use), (&None, &None));
}

#[test]
fn a_bus_that_works_on_the_record_is_told_by_the_same_record_on_the_shelf() {
    let _alone = alone();
    let mut instance = Instance::new();
    begin(&instance, "first time", false);
    instance.live_of(RECORD, 7);
    finish(&instance);
    let mut known = shelf().unwrap().load("first time").unwrap().records.remove(0);
    // A sine's peaks stand 3 dB over its power, and both sides' powers are summed: whatever it is, it was 4 dB more.
    let here = known.psr_loud_db.unwrap();
    known.psr_loud_db = Some(here + 4.0);
    known.title = "second time.flac".into();
    shelf().unwrap().save(&Yardstick { name: "known".into(), records: vec![known] }).unwrap();
    begin(&instance, "second time", false);
    instance.live_of(RECORD, 7);
    let shown = finish(&instance);
    let said = shown.trouble.as_deref().unwrap();
    assert!(said.contains("something on the bus worked on the record"), "{said}");
}

/// What plays in another project is no part of the record: what was heard until then is on the shelf, and not in use there.
#[test]
fn the_record_ends_where_another_project_is_opened() {
    let _alone = alone();
    let mut instance = Instance::new();
    begin(&instance, "of another", false);
    instance.live_of(RECORD, 6);
    instance.wait_for("its seconds", |shown| {
        shown.taking.as_ref().is_some_and(|taking| taking.input_s.is_some_and(|s| s >= 5))
    });
    *instance.keeper.opened_songs.lock().unwrap() = Some(Songs::default());
    *instance.keeper.opened.lock().unwrap() = Some(Vec::new());
    let shown = instance.wait_for("its end", |shown| shown.taking.is_none());
    let said = shown.trouble.as_deref().unwrap();
    assert!(said.contains("“of another” is on your shelf. It was begun in another project"), "{said}");
    assert_eq!((&shown.in_use, instance.keeper.yardstick()), (&None, None));
    let record = shelf().unwrap().load("of another").unwrap().records.remove(0);
    instance.live_of(SINE, 3);
    let shown = instance.wait_for("the mix", |shown| shown.view.song.duration_s >= 1.0);
    assert!(!shown.view.aside && record.duration_s < 7.0);
}
