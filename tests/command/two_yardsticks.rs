//! Two yardsticks beside each other.

use candlemark_tests::command::{Home, figure};
use serde_json::Value;

use crate::files::{RATE, noise, take, wav};

/// A shelf with "plain", of noise, and "darker", of the same noise through a mean of two samples in a row.
fn home() -> Home {
    let home = Home::new();
    let sound = noise(8.0);
    let darker = sound.by_side(|side| side.windows(2).map(|pair| f32::midpoint(pair[0], pair[1])).collect());
    for (name, sound) in [("darker", darker), ("plain", sound)] {
        let record = wav(home.folder(), &format!("{name}.wav"), &sound);
        take(&home, name, [record]);
    }
    home
}

fn against(home: &Home, one: &str, other: &str) -> Value {
    let run = home.run(["yardstick", "show", one, "--against", other, "--json"]).well();
    run.object()
}

/// The mean of two samples in a row lets cos(π·f/rate) of the amplitude through.
fn lets_through_db(hz: f64) -> f64 {
    20.0 * (std::f64::consts::PI * hz / RATE).cos().log10()
}

#[test]
fn what_was_done_to_a_record_lies_between_the_two() {
    let home = home();
    let object = against(&home, "darker", "plain");
    assert_eq!(
        (&object["yardstick"]["name"], &object["against"]["name"]),
        (&"darker".into(), &"plain".into())
    );
    let bands = object["bands"].as_array().unwrap();
    assert!(bands.len() >= 30, "{}", bands.len());
    // All bands have lost loudness alike, which is matched; the rest is the filter, to the evenness of a band's level.
    let at =
        |hz: f64| bands.iter().find(|band| band["hz"] == hz).map(|band| figure(band, "above_db")).unwrap();
    for (high, low) in [(8000.0, 1000.0), (12_500.0, 1000.0), (4000.0, 500.0)] {
        let wanted = lets_through_db(high) - lets_through_db(low);
        let seen = at(high) - at(low);
        assert!((seen - wanted).abs() < 0.15, "{high} Hz over {low} Hz: {seen} dB, {wanted} by the filter");
    }
    let mut squares = 0.0;
    for band in bands {
        let above = figure(&band["yardstick"], "middle_db") - figure(&band["against"], "middle_db");
        assert_eq!(figure(band, "above_db"), above, "{band}");
        squares += above * above;
    }
    let distance = (squares / bands.len() as f64).sqrt();
    assert!((figure(&object, "distance_db") - distance).abs() < 1e-9);
}

#[test]
fn the_other_way_round_it_is_as_far_and_a_yardstick_lies_on_itself() {
    let home = home();
    let [there, back] = [against(&home, "darker", "plain"), against(&home, "plain", "darker")];
    assert_eq!(figure(&there, "distance_db"), figure(&back, "distance_db"));
    assert_eq!((&there["yardstick"], &there["against"]), (&back["against"], &back["yardstick"]));
    let itself = against(&home, "plain", "plain");
    assert_eq!(figure(&itself, "distance_db"), 0.0);
    assert!(itself["bands"].as_array().unwrap().iter().all(|band| figure(band, "above_db") == 0.0));
}

#[test]
fn the_figures_are_those_of_the_records() {
    let home = home();
    let object = against(&home, "darker", "plain");
    for (side, name) in [("yardstick", "darker"), ("against", "plain")] {
        let record = home.measure([home.folder().join(format!("{name}.wav"))]).remove(0);
        for key in
            ["integrated_lufs", "range_lu", "psr_loud_db", "plr_db", "crest_db", "fold_db", "correlation"]
        {
            let reach = &object[side]["figures"][key];
            // Of one record the lowest, the middle and the highest are the same.
            for place in 0..3 {
                assert_eq!(reach[place], record[key], "{name}: {key}");
            }
        }
    }
}

#[test]
fn a_page_names_both_and_one_that_is_not_there_is_told() {
    let home = home();
    let page = home.run(["yardstick", "show", "darker", "--against", "plain"]).well();
    for named in [
        "\"darker\", 1 record\nagainst \"plain\", 1 record",
        "dB apart on average",
        "8k",
        "crest factor",
        "mono fold",
    ] {
        assert!(page.printed.contains(named), "{named}:\n{}", page.printed);
    }
    home.run(["yardstick", "show", "darker", "--against", "nowhere"]).refused(&["\"nowhere\""]);
}
