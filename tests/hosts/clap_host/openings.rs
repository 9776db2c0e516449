//! The editor's window opened again and again, resized, hidden, and beside another one.

use std::env;

use candlemark_tests::clap_host::{Batch, Block, Playback};
use candlemark_tests::endurance::MOST_KIB_AN_OPENING;
use candlemark_tests::hosting::{close, open, opened, wait_for};
use candlemark_tests::states::field;
use candlemark_tests::taken::{Taken, threads};
use candlemark_tests::x11::{Parent, on_a_display_of_its_own};
use clack_extensions::gui::GuiSize;
use serde_json::json;

use crate::host::{Instance, Placement, assert_same, blocks, framed};
use crate::material::noises;

/// How often it is opened; `CANDLEMARK_TEST_OPENINGS` says otherwise.
const OPENINGS: usize = 40;
/// Before these have been, drivers and fonts still fill their caches.
const FIRST: usize = 10;

#[test]
fn opened_and_closed_it_leaves_nothing_behind() {
    on_a_display_of_its_own("openings::opened_and_closed_it_leaves_nothing_behind", || {
        let wanted = env::var("CANDLEMARK_TEST_OPENINGS").ok();
        let openings = wanted.map_or(OPENINGS, |wanted| wanted.parse().expect("it is a number"));
        assert!(openings >= 3 * FIRST, "the first {FIRST} do not count, and two tens are compared");
        let parent = Parent::open(None);
        let mut instance = Instance::new(2);
        instance.activate(48_000.0);
        let without = threads();
        let mut taken_after: Vec<Taken> = Vec::new();
        for _ in 0..openings {
            open(&mut instance, &parent);
            close(&mut instance, &parent);
            // The window's own thread gives its memory back when it ends.
            wait_for(&mut instance, "the end of the window's thread", || threads() <= without);
            taken_after.push(Taken::now());
        }
        let [before, after] = [&taken_after[FIRST..2 * FIRST], &taken_after[openings - FIRST..]]
            .map(|ten| Taken::least(ten.iter().copied()).expect("there are ten"));
        let each_kib = (after.kib - before.kib) / (openings - 2 * FIRST) as f64;
        println!(
            "{openings} openings (CANDLEMARK_TEST_OPENINGS=200 for more): at least {:.0} KiB and {} files after each of the second \
             {FIRST}, {:.0} KiB and {} files of the last, {each_kib:.1} KiB an opening",
            before.kib, before.files, after.kib, after.files
        );
        assert!(after.files <= before.files, "{} files are open, {} were", after.files, before.files);
        assert!(each_kib < MOST_KIB_AN_OPENING, "each opening leaves {each_kib} KiB");
    });
}

/// A whole sound, as slowly as a sound card asks for it, so that there is time to resize.
struct Slow<'a>(Batch<'a>);

impl Playback for Slow<'_> {
    fn next(&mut self, sound: &mut [Vec<f32>]) -> Option<Block> {
        std::thread::sleep(std::time::Duration::from_millis(5));
        self.0.next(sound)
    }

    fn take(&mut self, input: &[Vec<f32>], output: &[Vec<f32>]) {
        self.0.take(input, output);
    }
}

fn size(width: u32, height: u32) -> GuiSize {
    GuiSize { width, height }
}

#[test]
fn resized_while_sound_runs_it_is_painted_and_the_sound_stays_what_it_was() {
    on_a_display_of_its_own(
        "openings::resized_while_sound_runs_it_is_painted_and_the_sound_stays_what_it_was",
        || {
            let parent = Parent::open(None);
            let mut instance: Instance = opened(&parent);
            let frames = 512 * 400;
            let input = noises(2, 11, frames);
            let blocks = blocks(frames, &[512]);
            let mut heard = Slow(Batch::new(&input, &blocks));
            let wanted = [size(640, 400), size(1190, 990), size(700, 900), size(1000, 410), size(1084, 680)];
            let mut turn = 0;
            instance.play_along(&mut heard, Placement::InPlace, |instance| {
                turn += 1;
                if turn % 5 == 0 {
                    let wanted = wanted[(turn / 5) % wanted.len()];
                    assert_eq!(instance.resize_editor(wanted), wanted);
                }
            });
            assert!(turn > 50, "there was time for {turn} turns");
            assert_same(&heard.0.output, &input, "while the window was resized");
            let smallest = instance.resize_editor(size(10, 10));
            assert_eq!([smallest.width, smallest.height], [640, 400]);
            wait_for(&mut instance, "the small picture", || {
                let lit = |x: usize, y: usize| parent.pixels()[(y * usize::from(Parent::WIDTH) + x) * 4] > 0;
                lit(630, 390) && !lit(660, 390)
            });
            assert_eq!(instance.editor_size(), smallest, "it says how large it is");
            // The next window is as large as this one was.
            let kept = field(&instance.save_state()[8..], "look");
            assert_eq!([&kept["width_points"], &kept["height_points"]], [640.0, 400.0]);
            instance.close_editor();
            assert_eq!(instance.open_editor(parent.window()), smallest);
            instance.close_editor();
        },
    );
}

#[test]
fn it_opens_with_the_zoom_and_the_size_that_the_project_kept() {
    on_a_display_of_its_own("openings::it_opens_with_the_zoom_and_the_size_that_the_project_kept", || {
        let parent = Parent::open(None);
        let mut instance = Instance::new(2);
        let look =
            json!({ "zoom_percent": 150, "palette": "paper", "width_points": 700.0, "height_points": 500.0 });
        let fields = json!({ "format": "3", "look": look.to_string(), "yardstick": json!("").to_string() });
        assert!(instance.load_state(&framed(&json!({ "version": "0.1.0", "params": {}, "fields": fields }))));
        instance.activate(48_000.0);
        let opened = instance.open_editor(parent.window());
        assert_eq!([opened.width, opened.height], [1050, 750]);
        wait_for(&mut instance, "a picture on paper", || {
            // Blue, green, red: the light ground of paper in the lower right corner, and black beside the window.
            let at = |x: usize, y: usize| parent.pixels()[(y * usize::from(Parent::WIDTH) + x) * 4 + 2];
            at(1047, 745) > 200 && at(1060, 745) == 0
        });
        instance.close_editor();
        let kept = field(&instance.save_state()[8..], "look");
        assert_eq!([&kept["width_points"], &kept["height_points"]], [700.0, 500.0]);
    });
}

#[test]
fn two_windows_of_two_instances_live_side_by_side() {
    on_a_display_of_its_own("openings::two_windows_of_two_instances_live_side_by_side", || {
        let parents = [Parent::open(None), Parent::open(None)];
        let mut instances = [Instance::new(2), Instance::new(2)];
        for (instance, parent) in instances.iter_mut().zip(&parents) {
            instance.activate(48_000.0);
            instance.open_editor(parent.window());
        }
        let input = noises(2, 3, 48_000 * 4);
        for (instance, parent) in instances.iter_mut().zip(&parents) {
            parent.raise();
            wait_for(instance, "a picture", || parent.colours() > 10);
            let output = instance.play(&input, &blocks(48_000 * 4, &[512]), Placement::InPlace);
            assert_same(&output, &input, "beside another");
        }
        instances[0].close_editor();
        parents[1].raise();
        wait_for(&mut instances[1], "the other's picture", || parents[1].colours() > 10);
        instances[1].close_editor();
    });
}

#[test]
fn hidden_and_shown_again_it_goes_on() {
    on_a_display_of_its_own("openings::hidden_and_shown_again_it_goes_on", || {
        let parent = Parent::open(None);
        let mut instance: Instance = opened(&parent);
        for _ in 0..3 {
            instance.hide_editor(true);
            wait_for(&mut instance, "an empty window", || parent.colours() == 1);
            let input = noises(2, 5, 48_000);
            instance.play(&input, &blocks(48_000, &[512]), Placement::InPlace);
            instance.hide_editor(false);
            wait_for(&mut instance, "the picture again", || parent.colours() > 10);
        }
        let before = parent.pixels();
        let input = noises(2, 3, 48_000 * 10);
        instance.play(&input, &blocks(48_000 * 10, &[512]), Placement::InPlace);
        wait_for(&mut instance, "the song's balance", || parent.changes_since(&before) > 10_000);
        instance.close_editor();
    });
}
