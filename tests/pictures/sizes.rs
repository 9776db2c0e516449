//! Windows of every size and zoom: nothing is cut, nothing lies over anything else, and parts drop out in their order.

use candlemark_editor::{Look, ZOOMS_PERCENT, show};
use candlemark_tests::picture;
use egui::{Vec2, vec2};

use crate::seen::has_text;
use crate::{DESIGNED, SEEN, SMALLEST, controls_of, draw, geometry, named_views, save, views};

const LARGEST: Vec2 = vec2(3840.0, 2160.0);

fn hold_all(size: Vec2, pixels_per_point: f32, look: Look) {
    for (name, view, choice) in named_views() {
        let shapes = picture::shapes(size, pixels_per_point, |ui| {
            show(ui, &view, &choice, &controls_of(&view), look);
        });
        geometry::hold(&shapes, size, &format!("{name} at {size:?}, {pixels_per_point} pixels a point"));
    }
}

#[test]
fn every_size_from_the_smallest_to_the_designed_holds() {
    for step in 0..=12 {
        let size = SMALLEST + (DESIGNED - SMALLEST) * (step as f32 / 12.0);
        for size in [size, vec2(size.x, DESIGNED.y), vec2(DESIGNED.x, size.y), vec2(size.x, SMALLEST.y)] {
            hold_all(size.round(), 1.0, SEEN);
        }
    }
}

#[test]
fn every_size_up_to_the_largest_holds() {
    for step in 1..=4 {
        let size = DESIGNED + (LARGEST - DESIGNED) * (step as f32 / 4.0);
        for size in [size, vec2(size.x, SMALLEST.y), vec2(SMALLEST.x, size.y)] {
            hold_all(size.round(), 1.0, SEEN);
        }
    }
}

#[test]
fn the_hint_and_the_far_view_hold_as_well() {
    for size in [SMALLEST, vec2(760.0, 480.0), DESIGNED, LARGEST] {
        hold_all(size, 1.0, Look { hint_seen: false, ..SEEN });
        hold_all(size, 1.0, Look { far: true, ..SEEN });
    }
}

/// A zoom, and a dense screen, are pixels a point: letters are as wide as their pixels allow, so that each lies otherwise.
#[test]
fn every_zoom_holds_on_every_screen() {
    for zoom in ZOOMS_PERCENT.map(|percent| f32::from(percent) / 100.0) {
        for density in [1.0, 1.5, 2.0] {
            hold_all(DESIGNED, zoom * density, SEEN);
            hold_all(SMALLEST, zoom * density, SEEN);
        }
    }
}

#[test]
fn the_strip_drops_out_before_the_figures_and_the_rest_stays() {
    let has = |width: f32, height: f32| {
        let picture = draw(&views::remarks(), &views::shelf(), vec2(width, height), 1.0);
        ["The song", "whole song", "Balance", "Hear mono", "Far view", "short-term"]
            .map(|words| has_text(&picture, words))
    };
    assert_eq!(has(1084.0, 680.0), [true; 6]);
    assert_eq!(has(1084.0, 500.0), [true, true, true, true, true, true]);
    assert_eq!(has(1084.0, 400.0), [false, false, true, true, true, true]);
    assert_eq!(has(640.0, 680.0), [true, false, true, true, true, true]);
    assert_eq!(has(640.0, 400.0), [false, false, true, true, true, true]);
}

#[test]
fn the_largest_is_drawn_to_be_looked_at() {
    let picture = draw(&views::remarks(), &views::shelf(), LARGEST, 1.0);
    save(&picture, "remarks-4k");
    let zoomed = draw(&views::remarks(), &views::shelf(), LARGEST / 2.0, 2.0);
    save(&zoomed, "remarks-4k-at-200");
    assert_eq!(picture.size, zoomed.size);
}
