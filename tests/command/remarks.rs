//! What the command says of a file in sentences: the same on the page and in JSON, the most urgent first.

use std::path::PathBuf;

use candlemark_tests::command::{Home, figure};
use candlemark_tests::sound::Sound;
use serde_json::Value;

use crate::files::{RATE, noise, take, wav};

/// The right side is silent for so many seconds from the fifth on, and there is DC on both.
fn faulty(silent_s: f64) -> Sound {
    let mut sound = noise(40.0);
    let from = (5.0 * RATE) as usize;
    sound.left.iter_mut().chain(&mut sound.right).for_each(|x| *x = 0.5 * *x + 0.01);
    sound.right[from..from + (silent_s * RATE) as usize].fill(0.0);
    sound
}

fn texts(file: &Value) -> Vec<&str> {
    let remarks = file["remarks"].as_array().expect("remarks are a list");
    remarks.iter().map(|remark| remark["text"].as_str().expect("a remark has its text")).collect()
}

#[test]
fn page_and_json_say_the_same_in_the_same_order() {
    let home = Home::new();
    let path = wav(home.folder(), "faulty.wav", &faulty(25.0));
    let file = &home.measure([&path])[0];
    let ids: Vec<&str> = (0..2).map(|n| file["remarks"][n]["id"].as_str().expect("it is named")).collect();
    assert_eq!(ids, ["dead-channel", "dc"], "{}", file["remarks"]);
    assert_eq!(
        (file["remarks"][0]["urgency"].as_str(), file["remarks"][1]["urgency"].as_str()),
        (Some("broken"), Some("minor"))
    );
    let evidence = &file["remarks"][0]["evidence"];
    assert_eq!((figure(&evidence["figure"], "length_s"), figure(evidence, "at_s")), (25.0, 5.0));
    assert!(evidence["bands_hz"].is_null());

    let run = home.run(["measure".as_ref(), path.as_os_str()]);
    let printed = run.printed.split_whitespace().collect::<Vec<_>>().join(" ");
    let mut rest = printed.as_str();
    for (text, number) in texts(file).into_iter().zip(1..) {
        let numbered = format!("{number} {text} ");
        let at = rest.find(&numbered).unwrap_or_else(|| panic!("{numbered:?} is not in {rest}"));
        rest = &rest[at + numbered.len()..];
    }
    assert!(rest.starts_with("loudness "), "the figures come after: {rest}");
    let sentences = run.printed.split("\n\n").nth(1).expect("the page has parts");
    assert!(sentences.lines().all(|line| line.chars().count() <= 76), "{sentences}");
}

#[test]
fn a_file_of_which_there_is_nothing_to_say_has_its_figures_alone() {
    let home = Home::new();
    let path = wav(home.folder(), "sound.wav", &noise(40.0));
    let file = &home.measure([&path])[0];
    assert_eq!(texts(file), [] as [&str; 0]);
    let run = home.run(["measure".as_ref(), path.as_os_str()]);
    let second = run.printed.split("\n\n").nth(1).expect("the page has parts");
    assert!(second.trim_start().starts_with("loudness"), "{}", run.printed);
}

/// Three records say what a mix is beside; two do not.
#[test]
fn records_are_judged_by_from_three_on() {
    let home = Home::new();
    let records: Vec<PathBuf> = (0..3)
        .map(|number| {
            // Records that lie a decibel apart in the highs.
            let share = 0.1 * number as f32;
            let next = |side: &[f32]| side.iter().skip(1).chain([&0.0]).copied().collect::<Vec<f32>>();
            let sound = noise(62.0)
                .by_side(|side| side.iter().zip(next(side)).map(|(x, next)| x + share * next).collect());
            wav(home.folder(), &format!("record {number}.wav"), &sound)
        })
        .collect();
    // A first difference: 6 dB an octave up.
    let bright = noise(62.0).by_side(|side| side.windows(2).map(|pair| 0.8 * (pair[1] - pair[0])).collect());
    let bright = wav(home.folder(), "bright.wav", &bright);
    for (count, name) in [(2, "two"), (3, "three")] {
        take(&home, name, &records[..count]);
        let run = home.run(["measure", "--json", "--yardstick", name, bright.to_str().unwrap()]);
        let file = &run.files()[0];
        let ids: Vec<&str> =
            file["remarks"].as_array().unwrap().iter().filter_map(|remark| remark["id"].as_str()).collect();
        let judged = if count == 3 { vec!["unlike-records"] } else { vec![] };
        assert_eq!(ids, judged, "beside {count} records: {}", file["remarks"]);
    }
}
