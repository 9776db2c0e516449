use proptest::prelude::*;

use super::*;

fn room(length_m: f64, width_m: f64, height_m: f64) -> Room {
    Room { sides_m: [length_m, width_m, height_m], rt60_s: None, from_wall_m: None, speakers_from_hz: None }
}

/// Kuttruff, Room Acoustics, table of a room of 4.7 by 4.1 by 3.1 m at 340 m/s: room and numbering from memory, values
/// worked out from the formula apart from this code.
#[test]
fn the_modes_of_a_textbooks_room_are_its_tables() {
    let modes = modes_up_to([4.7, 4.1, 3.1], 84.0, 340.0);
    let table: [(f64, [u32; 3]); 10] = [
        (36.17, [1, 0, 0]),
        (41.46, [0, 1, 0]),
        (54.84, [0, 0, 1]),
        (55.02, [1, 1, 0]),
        (65.69, [1, 0, 1]),
        (68.75, [0, 1, 1]),
        (72.34, [2, 0, 0]),
        (77.68, [1, 1, 1]),
        (82.93, [0, 2, 0]),
        (83.38, [2, 1, 0]),
    ];
    assert_eq!(modes.len(), table.len(), "{modes:?}");
    for (mode, (hz, half_waves)) in modes.iter().zip(table) {
        assert!((mode.at_hz - hz).abs() < 0.005, "{mode:?} beside {hz}");
        assert_eq!(mode.half_waves, half_waves);
    }
    let kinds: Vec<ModeKind> = modes.iter().map(|mode| mode.kind).collect();
    assert_eq!([kinds[0], kinds[3], kinds[7]], [ModeKind::Axial, ModeKind::Tangential, ModeKind::Oblique]);
}

/// Everest's room of 28 by 16 by 10 ft at 1130 ft/s, its axial modes (room from memory).
#[test]
fn axial_modes_of_another_textbooks_room() {
    let modes = modes_up_to([28.0, 16.0, 10.0], 170.0, 1130.0);
    let axial: Vec<f64> =
        modes.iter().filter(|mode| mode.kind == ModeKind::Axial).map(|mode| mode.at_hz).collect();
    for hz in [20.2, 40.4, 60.5, 80.7, 35.3, 70.6, 105.9, 56.5, 113.0, 169.5] {
        assert!(axial.iter().any(|axial| (axial - hz).abs() < 0.06), "{hz} is not in {axial:?}");
    }
}

/// Worked from 2000·√(T/V): Kuttruff, Room Acoustics, eq. 3.44 (from memory).
#[test]
fn the_schroeder_frequency_is_the_formulas() {
    for (volume, rt60, hz) in
        [(100.0, 0.25, 100.0), (50.0, 0.3, 154.9), (1000.0, 1.0, 63.2), (10_000.0, 2.0, 28.3)]
    {
        assert!((schroeder_hz(rt60, volume) - hz).abs() < 0.05, "{volume} m³, {rt60} s");
    }
}

/// The smooth count is what the exact one swings about: within a tenth from a hundred modes on (ours), in three rooms.
#[test]
fn the_smooth_count_runs_through_the_exact_one() {
    for sides in [[4.7, 4.1, 3.1], [5.0, 4.0, 2.5], [7.3, 3.1, 2.7]] {
        for hz in [250.0, 400.0, 600.0] {
            let exact = modes_up_to(sides, hz, 340.0).len() as f64;
            let smooth = smooth_count(sides, hz, 340.0);
            assert!(
                exact > 100.0 && (exact / smooth - 1.0).abs() < 0.1,
                "{sides:?} to {hz} Hz: {exact}, {smooth}"
            );
        }
    }
}

fn reasons(doubt: &RoomDoubt, hz: f64) -> &[Reason] {
    &doubt.bands.iter().find(|band| band.nominal.0 == hz).unwrap().reasons
}

#[test]
fn a_cubes_modes_coincide_and_stand_alone() {
    let doubt = room(3.0, 3.0, 3.0).doubt().unwrap();
    // Three axial modes at 57.2 Hz, three tangential ones at 80.9, and nothing between.
    assert!(matches!(reasons(&doubt, 63.0), [Reason::Coinciding { at_hz }] if (at_hz - 57.2).abs() < 0.01));
    assert!(reasons(&doubt, 80.0).iter().any(|reason| matches!(reason, Reason::Coinciding { .. })));
    assert_eq!(reasons(&doubt, 40.0), [Reason::NoModes]);
    assert_eq!(doubt.bands.iter().filter(|band| band.worst).count(), 3);
    let spread = room(5.1, 3.9, 2.6).doubt().unwrap();
    assert!(spread.doubted().count() < doubt.doubted().count(), "a cube is the worst there is");
}

/// The axial modes of both sides lie a fifth of a hertz apart, on either side of the edge at 56.23 Hz between two bands.
#[test]
fn modes_coincide_over_the_edge_of_a_band_too() {
    let doubt = room(3.05, 3.06, 2.4).doubt().unwrap();
    let is_there = |hz: f64| {
        let coinciding =
            |reason: &Reason| matches!(reason, Reason::Coinciding { at_hz } if (56.0..56.3).contains(at_hz));
        reasons(&doubt, hz).iter().any(coinciding)
    };
    assert_eq!([40.0, 50.0, 63.0, 80.0].map(is_there), [false, true, true, false]);
}

#[test]
fn the_worst_are_those_that_lie_furthest_from_the_average() {
    let doubt = room(4.0, 4.0, 2.5).doubt().unwrap();
    let first = doubt.bands.iter().position(|band| band.modes > 0).unwrap();
    let (worst, rest): (Vec<_>, Vec<_>) = doubt.bands[first..].iter().partition(|band| band.worst);
    let least = worst.iter().map(|band| band.apart_db.abs()).fold(f64::INFINITY, f64::min);
    assert!(!worst.is_empty());
    assert!(rest.iter().filter(|band| !band.reasons.is_empty()).all(|band| band.apart_db.abs() <= least));
    assert!(doubt.bands[..first].iter().all(|band| !band.worst), "where no mode has begun nothing is uneven");
}

/// A quarter of the wave: at 1 m, 343.2 / 4 = 85.8 Hz.
#[test]
fn the_wall_takes_the_quarter_wave_and_speakers_end_where_they_end() {
    let told = Room { from_wall_m: Some(1.0), speakers_from_hz: Some(55.0), ..room(5.0, 4.0, 2.5) };
    let doubt = told.doubt().unwrap();
    assert_eq!(doubt.wall_cancels_hz, Some(85.8));
    assert!(reasons(&doubt, 80.0).contains(&Reason::WallCancels { at_hz: 85.8 }));
    assert!(reasons(&doubt, 50.0).contains(&Reason::SpeakersEnd));
    assert!(!reasons(&doubt, 63.0).contains(&Reason::SpeakersEnd));
}

#[test]
fn what_can_not_be_a_room_is_told() {
    let good = room(5.0, 4.0, 2.5);
    for (bad, told) in [
        (room(500.0, 4.0, 2.5), "length comes to 500.0000 m; 1 to 50 m"),
        (room(5.0, f64::NAN, 2.5), "width"),
        (room(5.0, 4.0, -2.5), "height"),
        (Room { rt60_s: Some(0.0), ..good }, "0.05 to 10 s"),
        (Room { rt60_s: Some(f64::INFINITY), ..good }, "0.05 to 10 s"),
        (Room { from_wall_m: Some(0.0), ..good }, "measure from their front"),
        (Room { from_wall_m: Some(5.0), ..good }, "in a room of 5.0000 m"),
        (Room { speakers_from_hz: Some(2000.0), ..good }, "5 to 500 Hz"),
    ] {
        let error = bad.doubt().unwrap_err().to_string();
        assert!(error.contains(told), "{error}");
    }
}

proptest! {
    #[test]
    fn every_room_that_can_be_is_reckoned_and_turning_it_changes_nothing(
        length_m in 1.0..50f64, width_m in 1.0..50f64, height_m in 1.0..50f64, rt60_s in 0.05..10f64,
    ) {
        let small = Room { rt60_s: Some(rt60_s), ..room(length_m, width_m, height_m) };
        let turned = Room { sides_m: [height_m, length_m, width_m], ..small };
        let (one, other) = (small.doubt().unwrap(), turned.doubt().unwrap());
        prop_assert_eq!(one.modes.len(), other.modes.len());
        prop_assert!((one.schroeder_hz - other.schroeder_hz).abs() < 1e-9);
        prop_assert!(one.modes.is_sorted_by_key(|mode| mode.at_hz));
        prop_assert!(one.bands.iter().filter(|band| band.worst).count() <= 3);
    }
}
