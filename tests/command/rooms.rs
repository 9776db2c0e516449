//! `candlemark room`.

use candlemark_tests::command::{Home, figure};
use serde_json::Value;

fn object(arguments: &[&str]) -> Value {
    let home = Home::new();
    let run = home.run([&["room", "--json"], arguments].concat()).well();
    run.object()
}

fn reasons(room: &Value, hz: f64) -> Vec<&str> {
    let bands = room["bands"].as_array().expect("bands are a list");
    let band =
        bands.iter().find(|band| figure(band, "hz") == hz).unwrap_or_else(|| panic!("no band at {hz} Hz"));
    band["reasons"].as_array().unwrap().iter().map(|reason| reason["id"].as_str().unwrap()).collect()
}

/// f = c/2L with 343.2 m/s: 34.32, 42.9 and 68.64 Hz. 2000·√(0.3/50) = 154.9 Hz (Kuttruff, Room Acoustics, eq. 3.44, from
/// memory).
#[test]
fn a_rooms_modes_and_its_schroeder_frequency_are_told() {
    let room = object(&["5", "4", "2.5", "--rt60", "0.3"]);
    assert!((figure(&room, "schroeder_hz") - 154.919).abs() < 1e-3);
    let modes = room["modes"].as_array().unwrap();
    for (half_waves, hz) in [([1, 0, 0], 34.32), ([0, 1, 0], 42.9), ([0, 0, 1], 68.64)] {
        let mode = modes.iter().find(|mode| mode["half_waves"] == serde_json::json!(half_waves)).unwrap();
        assert!((figure(mode, "hz") - hz).abs() < 1e-9 && mode["kind"] == "axial", "{mode}");
    }
    assert!(modes.iter().all(|mode| figure(mode, "hz") <= figure(&room, "schroeder_hz")));
    assert_eq!((room["rt60_assumed"].as_bool(), &room["wall_cancels_hz"]), (Some(false), &Value::Null));
}

#[test]
fn feet_are_metres_after_all() {
    let [feet, metres] = [
        object(&["10", "20", "9", "--from-wall", "3", "--feet"]),
        object(&["3.048", "6.096", "2.7432", "--from-wall", "0.9144"]),
    ];
    for key in ["length_m", "width_m", "height_m", "schroeder_hz", "wall_cancels_hz"] {
        assert!((figure(&feet, key) - figure(&metres, key)).abs() < 1e-9, "{key}");
    }
}

#[test]
fn each_doubt_has_its_reason() {
    let room = object(&["4", "4", "2.5", "--from-wall", "1", "--speakers-from", "50"]);
    assert!(reasons(&room, 40.0).contains(&"coinciding"), "the two long sides are alike");
    assert!(reasons(&room, 80.0).contains(&"wall-cancels"));
    assert!(reasons(&room, 25.0).contains(&"speakers-end"));
    let page = Home::new().run(["room", "4", "4", "2.5"]);
    assert_eq!(page.status, Some(0));
    for part in ["assumed", "Schroeder", "most of all", "not a measurement", "before you change the mix"] {
        assert!(page.printed.contains(part), "{part} is not in\n{}", page.printed);
    }
}

#[test]
fn what_can_not_be_a_room_is_told_with_what_to_do() {
    let home = Home::new();
    for (arguments, told) in [
        (["400", "300", "250"], "length comes to 400.0000 m"),
        (["5", "-4", "2.5"], "width comes to -4.0000 m"),
        (["5", "4", "nan"], "height comes to NaN m"),
        (["inf", "4", "2"], "length comes to inf m"),
    ] {
        home.run([&["room"], &arguments[..]].concat()).refused(&[told, "--feet"]);
    }
    for typed in ["4,2", "high", "4.2m"] {
        let run = home.run(["room", "5", typed, "2.5"]);
        run.refused(&["no number; write one without its unit, with a point"]);
    }
}

#[test]
fn a_room_is_kept_only_when_that_is_said_and_a_bad_one_never() {
    let home = Home::new();
    let kept = home.folder().join("room.toml");
    assert_eq!(home.run(["room", "5", "4", "2.5"]).status, Some(0));
    assert!(!kept.exists());
    assert_eq!(home.run(["room", "5", "4", "2.5", "--keep"]).status, Some(0));
    let text = std::fs::read_to_string(&kept).expect("it is kept");
    assert!(text.starts_with("candlemark_room = 1\n") && text.contains("sides_m"), "{text}");
    assert_eq!(home.run(["room", "5", "4", "-2.5", "--keep"]).status, Some(2));
    assert_eq!(std::fs::read_to_string(&kept).unwrap(), text, "the one before stays");
}
