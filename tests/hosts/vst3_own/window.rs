//! The editor in a window, on a display of its own. It shows that the window opens, is painted, follows the sound,
//! is clicked on and closes; what the picture looks like is judged elsewhere.

use std::thread::sleep;
use std::time::{Duration, Instant};

use candlemark_editor::Look;
use candlemark_tests::audition::place_after;
use candlemark_tests::hosting::{Hosts as _, click, close, follows, open, opened, wait_for};
use candlemark_tests::passing::{assert_same, still_passes};
use candlemark_tests::saving::what_is_chosen_is_to_be_saved;
use candlemark_tests::x11::{Parent, on_a_display_of_its_own};

use crate::application::Told;
use crate::instance::Instance;
use crate::material::noises;
use crate::parameters::{parameters, value};
use crate::playback::{Pace, Placement};
use crate::transport::playing;

const RATE: f64 = 48_000.0;

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
        let mut instance: Instance = opened(&parent);
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
        drop(opened::<Instance>(&parent));
    });
}

#[test]
fn it_follows_the_sound_which_stays_what_it_was() {
    on_a_display_of_its_own("window::it_follows_the_sound_which_stays_what_it_was", || {
        let parent = Parent::open(None);
        let mut instance: Instance = opened(&parent);
        follows(&mut instance, &parent, |instance| {
            let frames = RATE as usize * 10;
            let input = noises(2, 3, frames);
            let output = instance.play(&input, &playing(frames, RATE), Placement::InPlace);
            assert_same(&output, &input, "with the editor open");
        });
        // As slow as a sound card, with the editor's events in between.
        let frames = RATE as usize * 2;
        let input = noises(2, 4, frames);
        let blocks = playing(frames, RATE);
        let output =
            instance.play_beside(&input, &blocks, Placement::InPlace, Pace::OfSound, Instance::serve);
        assert_same(&output, &input, "in the pace of sound");
        close(&mut instance, &parent);
    });
}

#[test]
fn what_is_chosen_in_the_window_is_to_be_saved() {
    on_a_display_of_its_own("window::what_is_chosen_in_the_window_is_to_be_saved", || {
        what_is_chosen_is_to_be_saved::<Instance>(|state| state);
    });
}

#[test]
fn a_click_on_aside_counts_at_once_and_is_told_to_the_host() {
    on_a_display_of_its_own("window::a_click_on_aside_counts_at_once_and_is_told_to_the_host", || {
        let parent = Parent::open(None);
        let mut instance: Instance = opened(&parent);
        let aside = parameters(&instance).into_iter().find(|parameter| parameter.title == "Aside");
        let id = aside.expect("there is such a parameter").id;
        let handler = instance.handler.clone();
        let place = place_after(&[], "Aside", Look::default());
        let mut told = Vec::new();
        // From here on the host processes, and the framework waits for what it hands back.
        still_passes(&mut instance, "before the first click");
        for now in [1.0, 0.0] {
            click(&mut instance, &parent, place);
            told.extend([Told::Begin(id), Told::Perform(id, now), Told::End(id)]);
            wait_for(&mut instance, "the change", || handler.told().len() >= told.len());
            assert_eq!(handler.told(), told);
            // There are hosts that hand nothing back. This one does, with the first block that it plays after the click.
            assert_eq!(value(&instance, id), now);
            still_passes(&mut instance, "with the change in it");
            assert_eq!(value(&instance, id), now);
        }
        close(&mut instance, &parent);
    });
}
