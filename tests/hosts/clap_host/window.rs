//! The editor in a window, on a display of its own. It shows that the window opens, is painted, follows the sound
//! and closes; what the picture looks like is judged elsewhere.

use candlemark_editor::Look;
use candlemark_tests::audition::place_after;
use candlemark_tests::hosting::{click, close, follows, opened, wait_for};
use candlemark_tests::read_out::shown;
use candlemark_tests::saving::{HINT, changes, what_is_chosen_is_to_be_saved};
use candlemark_tests::states::a_yardstick;
use candlemark_tests::x11::{Parent, on_a_display_of_its_own};

use crate::host::{Instance, Placement, blocks, with_yardstick};
use crate::material::noises;
use crate::state::text;

#[test]
fn the_editor_opens_follows_the_sound_and_closes() {
    on_a_display_of_its_own("window::the_editor_opens_follows_the_sound_and_closes", inside);
}

/// A host that starts the song with the space bar gets it from the window, but not while a person writes a word in a field.
#[test]
fn a_song_is_named_with_the_keyboard_spaces_and_all() {
    on_a_display_of_its_own("window::a_song_is_named_with_the_keyboard_spaces_and_all", || {
        let seen = Look { hint_seen: true, ..Look::default() };
        let name = place_after(&[], "no name yet", seen);
        let field = place_after(&[name], "name of the song", seen);
        let parent = Parent::open(None);
        let mut instance: Instance = opened(&parent);
        for place in [HINT, name, field] {
            click(&mut instance, &parent, place);
        }
        parent.write("low water 2");
        parent.enter();
        let is_named = || shown().and_then(|shown| shown.view.song_name).is_some();
        wait_for(&mut instance, "a name", is_named);
        assert_eq!(shown().unwrap().view.song_name.as_deref(), Some("low water 2"));
        // A name is no parameter: the host is told by the one that counts.
        click(&mut instance, &parent, HINT);
        assert_eq!(changes(&mut instance, text), 1);
        instance.close_editor();
    });
}

#[test]
fn what_is_chosen_in_the_window_is_to_be_saved() {
    on_a_display_of_its_own("window::what_is_chosen_in_the_window_is_to_be_saved", || {
        what_is_chosen_is_to_be_saved::<Instance>(text);
    });
}

fn inside() {
    let parent = Parent::open(None);
    assert_eq!(parent.colours(), 1, "an empty window");
    for yardstick in [String::new(), a_yardstick(), String::new()] {
        // A fresh one each time: an instance keeps its song, and would show it from the start.
        let mut instance = Instance::new(2);
        instance.activate(48_000.0);
        assert!(instance.load_state(&with_yardstick(&yardstick.into())));
        let size = instance.open_editor(parent.window());
        assert!(size.width > 100 && size.height > 100, "{size:?}");
        wait_for(&mut instance, "a picture", || parent.colours() > 10);

        follows(&mut instance, &parent, |instance| {
            let input = noises(2, 3, 48_000 * 10);
            instance.play(&input, &blocks(48_000 * 10, &[512]), Placement::InPlace);
        });
        close(&mut instance, &parent);
        instance.activate(96_000.0);
        instance.activate(48_000.0);
    }
}
