//! The editor in a window, on a display of its own. It shows that the window opens, is painted, follows the sound,
//! is clicked on and closes; what the picture looks like is judged elsewhere.

use std::env;
use std::path::Path;
use std::thread::sleep;
use std::time::{Duration, Instant};

use candlemark_editor::{Choice, Controls, Look, show};
use candlemark_session::view::View;
use candlemark_tests::clap_host::assert_same;
use candlemark_tests::picture;
use candlemark_tests::x11::{Parent, on_a_display_of_its_own};
use egui::vec2;

use crate::application::Told;
use crate::instance::Instance;
use crate::material::noises;
use crate::parameters::{parameters, value};
use crate::playback::{Pace, Placement, blocks};
use crate::transport::playing;

const RATE: f64 = 48_000.0;

/// Waits until `done`, while the editor gets the main thread.
fn wait_for(instance: &Instance, what: &str, mut done: impl FnMut() -> bool) {
    let begun = Instant::now();
    while !done() {
        assert!(begun.elapsed() < Duration::from_secs(20), "{what} did not come in 20 s");
        instance.editor().serve();
        sleep(Duration::from_millis(20));
    }
}

fn opened(parent: &Parent) -> Instance {
    let mut instance = Instance::new(2);
    instance.activate(RATE);
    open(&mut instance, parent);
    instance
}

fn open(instance: &mut Instance, parent: &Parent) {
    assert_eq!(parent.colours(), 1, "an empty window");
    instance.open_editor(parent.window());
    wait_for(instance, "a picture", || parent.colours() > 10);
}

fn close(instance: &mut Instance, parent: &Parent) {
    instance.close_editor();
    wait_until_empty(parent);
}

fn wait_until_empty(parent: &Parent) {
    let begun = Instant::now();
    while parent.colours() > 1 {
        assert!(begun.elapsed() < Duration::from_secs(20), "the window is not empty after 20 s");
        sleep(Duration::from_millis(20));
    }
}

#[test]
fn the_editor_opens_is_painted_and_closes() {
    on_a_display_of_its_own("window::the_editor_opens_is_painted_and_closes", || {
        let parent = Parent::open(None);
        let mut instance = opened(&parent);
        for _ in 0..3 {
            let [width, height] = instance.editor().size();
            assert!(width >= 800 && width <= Parent::WIDTH.into(), "{width} pixels wide");
            assert!(height >= 520 && height <= Parent::HEIGHT.into(), "{height} pixels high");
            close(&mut instance, &parent);
            instance.activate(96_000.0);
            instance.activate(RATE);
            open(&mut instance, &parent);
        }
        // Hosts let an instance go while its editor is open.
        drop(instance);
        wait_until_empty(&parent);
        drop(opened(&parent));
    });
}

#[test]
fn it_follows_the_sound_which_stays_what_it_was() {
    on_a_display_of_its_own("window::it_follows_the_sound_which_stays_what_it_was", || {
        let parent = Parent::open(None);
        let mut instance = opened(&parent);
        // The clock alone changes a few hundred bytes; the bands of a song that has been heard, many thousand.
        let silent = parent.pixels();
        let frames = RATE as usize * 10;
        let input = noises(2, 3, frames);
        let output = instance.play(&input, &playing(frames, RATE), Placement::InPlace);
        assert_same(&output, &input, "with the editor open");
        wait_for(&instance, "the song's balance", || {
            let changed = parent.pixels().iter().zip(&silent).filter(|(now, then)| now != then).count();
            changed > 20_000
        });
        if let Some(path) = env::var_os("CANDLEMARK_TEST_PICTURE") {
            parent.save(Path::new(&path));
        }
        // As slow as a sound card, with the editor's events in between.
        let frames = RATE as usize * 2;
        let input = noises(2, 4, frames);
        let serve = |instance: &mut Instance| instance.editor().serve();
        let output =
            instance.play_beside(&input, &playing(frames, RATE), Placement::InPlace, Pace::OfSound, serve);
        assert_same(&output, &input, "in the pace of sound");
        close(&mut instance, &parent);
    });
}

/// Where the editor writes these words before any sound has come, in pixels.
fn place_of(words: &str, instance: &Instance) -> (i16, i16) {
    let [width, height] = instance.editor().size();
    let (view, choice) = (View::default(), Choice::default());
    let controls = Controls { stereo: true, ..Controls::default() };
    let shapes = picture::shapes(vec2(width as f32, height as f32), 1.0, |ui| {
        show(ui, &view, &choice, &controls, Look::default());
    });
    let place = picture::place_of(&shapes, words).unwrap_or_else(|| panic!("“{words}” is not written"));
    (place.x as i16, place.y as i16)
}

#[test]
fn a_click_on_aside_is_told_to_the_host_and_taken_back_from_it() {
    on_a_display_of_its_own("window::a_click_on_aside_is_told_to_the_host_and_taken_back_from_it", || {
        let parent = Parent::open(None);
        let mut instance = opened(&parent);
        let aside = parameters(&instance).into_iter().find(|parameter| parameter.title == "Aside");
        let id = aside.expect("there is such a parameter").id;
        let handler = instance.handler().clone();
        let (x, y) = place_of("Aside", &instance);
        let mut told = Vec::new();
        for now in [1.0, 0.0] {
            parent.move_pointer(x, y);
            parent.press();
            sleep(Duration::from_millis(200));
            parent.release();
            told.extend([Told::Begin(id), Told::Perform(id, now), Told::End(id)]);
            wait_for(&instance, "the change", || handler.told().len() >= told.len());
            assert_eq!(handler.told(), told);
            // The host hands the change on with the first block that it plays after the click.
            let input = noises(2, 5, 5000);
            let output = instance.play(&input, &blocks(5000, &[512]), Placement::InPlace);
            assert_same(&output, &input, "with the change in it");
            assert_eq!(value(&instance, id), now);
        }
        close(&mut instance, &parent);
    });
}
