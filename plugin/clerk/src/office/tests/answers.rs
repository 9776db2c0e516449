//! What the person answers, and what they have taken.

use std::fs;
use std::path::{Path, PathBuf};

use super::*;

/// A sound file of a tone.
pub(super) fn tone(folder: &Path, name: &str, seconds: usize) -> PathBuf {
    let path = folder.join(name);
    let spec = hound::WavSpec {
        channels: 2,
        sample_rate: 48_000,
        bits_per_sample: 16,
        sample_format: hound::SampleFormat::Int,
    };
    let mut writer = hound::WavWriter::create(&path, spec).unwrap();
    for n in 0..seconds * 48_000 {
        let sample = ((n as f32 * 0.131).sin() * 8000.0) as i16;
        writer.write_sample(sample).unwrap();
        writer.write_sample(sample).unwrap();
    }
    writer.finalize().unwrap();
    path
}

#[test]
fn a_yardstick_is_taken_from_files_and_used() {
    let _alone = alone();
    let folder = tempfile::tempdir().unwrap();
    let files = ["a.wav", "b.wav"].map(|name| tone(folder.path(), name, 5)).to_vec();
    let instance = Instance::new();
    instance.order(Order::Take("two tones".into(), files.clone()));
    let shown = instance.wait_for("the yardstick", |shown| shown.in_use.is_some());
    assert_eq!(shown.in_use.as_deref(), Some("two tones"));
    assert!(shown.shelf.iter().any(|name| name == "two tones"), "{:?}", shown.shelf);
    assert_eq!((&shown.taking, &shown.trouble), (&None, &None));
    assert_eq!(instance.keeper.yardstick().unwrap().records.len(), 2);

    // Its name is no longer free, and that is said before anything is measured.
    instance.order(Order::Take("two tones".into(), files));
    let shown = instance.wait_for("the trouble", |shown| shown.trouble.is_some());
    assert!(shown.trouble.as_ref().unwrap().contains("two tones"), "{:?}", shown.trouble);
    assert_eq!(shown.taking, None);
}

#[test]
fn what_can_be_no_record_is_told_and_the_yardstick_in_use_stays() {
    let _alone = alone();
    let folder = tempfile::tempdir().unwrap();
    let good = tone(folder.path(), "good.wav", 5);
    let bad = folder.path().join("bad.wav");
    fs::write(&bad, "no sound at all").unwrap();
    let missing = folder.path().join("missing.wav");
    let instance = Instance::new();
    instance.keeper.take_into_use(Yardstick { name: "before".into(), records: vec![record("a", -20.0)] });
    instance.order(Order::Take("spoilt".into(), vec![good, bad, missing]));
    let shown = instance.wait_for("the trouble", |shown| shown.trouble.is_some());
    let trouble = shown.trouble.as_ref().unwrap();
    assert!(trouble.contains("bad.wav") && trouble.ends_with("(and 1 more)"), "{trouble}");
    assert_eq!(instance.keeper.yardstick().unwrap().name, "before");
    assert!(shelf().unwrap().load("spoilt").is_err(), "nothing of it is kept");
}

#[test]
fn taking_says_how_far_it_is_and_can_be_broken_off() {
    let _alone = alone();
    let folder = tempfile::tempdir().unwrap();
    let long = vec![tone(folder.path(), "long.wav", 600)];
    let instance = Instance::new();
    instance.order(Order::Take("long".into(), long));
    let shown = instance.wait_for("how far it is", |shown| shown.taking.is_some());
    let taking = shown.taking.as_ref().unwrap();
    assert_eq!((taking.name.as_str(), taking.files), ("long", 1));
    assert!((0.0..1.0).contains(&taking.share), "{}", taking.share);
    instance.order(Order::StopTaking);
    instance.wait_for("its end", |shown| shown.taking.is_none());
    thread::sleep(Duration::from_millis(300));
    let shown = instance.seat.shown();
    assert_eq!((&shown.in_use, &shown.trouble), (&None, &None));
    assert!(shelf().unwrap().load("long").is_err(), "nothing of it is kept");
}

/// One side is silent for 40 s while the other plays: a dead channel.
#[test]
fn what_is_meant_is_kept_and_comes_back_with_the_project() {
    let _alone = alone();
    let mut instance = Instance::new();
    let [left, right] = [SINE, Sine { amplitude: 0.0, ..SINE }];
    instance.play([left, right], 40, false);
    let shown = instance.wait_for("a remark", |shown| !shown.view.remarks.is_empty());
    let id = shown.view.remarks[0].id.clone();
    instance.order(Order::Mean(id.clone()));
    instance.wait_for("silence", |shown| shown.view.remarks.iter().all(|remark| remark.id != id));
    let kept = instance.keeper.meant.lock().unwrap().clone();
    assert_eq!(kept.iter().map(|meant| meant.id.as_str()).collect::<Vec<_>>(), [id.as_str()]);

    let mut opened = Instance::new();
    *opened.keeper.opened.lock().unwrap() = Some(kept);
    opened.wait_for("what was meant", |shown| shown.meant.len() == 1);
    opened.play([left, right], 40, false);
    let shown = opened.wait_for("the song", |shown| shown.view.song.duration_s >= 35.0);
    assert!(shown.view.remarks.iter().all(|remark| remark.id != id), "{:?}", shown.view.remarks);
    opened.order(Order::NoLongerMean(id.clone()));
    opened.wait_for("the remark", |shown| shown.view.remarks.iter().any(|remark| remark.id == id));
}
