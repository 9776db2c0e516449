//! The far view: what it shows, in letters that are read from across the room, and the ways there and back.

use candlemark_editor::{Choice, Look, Wish};
use candlemark_session::octave_groups::OctaveGroup;
use candlemark_session::view::View;
use candlemark_tests::picture::{self, Picture};
use egui::{Vec2, vec2};

use crate::open::open_with;
use crate::seen::{circles, has_text, squares, texts, written};
use crate::{DESIGNED, LAMP, SEEN, geometry, named_views, save, views};

const FAR: Look = Look { far: true, ..SEEN };

fn draw(view: &View, choice: &Choice, size: Vec2) -> Picture {
    Picture::of(size, 1.0, |ui| {
        assert_eq!(candlemark_editor::show(ui, view, choice, &views::controls(), FAR), [], "nobody clicked");
    })
}

#[test]
fn every_view_from_afar_lies_in_the_window() {
    for (name, view, choice) in named_views() {
        let picture = draw(&view, &choice, DESIGNED);
        save(&picture, &format!("far-{name}"));
        geometry::hold(&picture.shapes, DESIGNED, &format!("far-{name}"));
        for size in [vec2(640.0, 400.0), vec2(640.0, 900.0), vec2(1600.0, 400.0), vec2(3840.0, 2160.0)] {
            let shapes = picture::shapes(size, 1.0, |ui| {
                candlemark_editor::show(ui, &view, &choice, &views::controls(), FAR);
            });
            geometry::hold(&shapes, size, &format!("far-{name} at {size:?}"));
        }
    }
}

/// What is to be read: figures and the sentence. Names of groups and figures, known after a day, are smaller.
#[test]
fn what_is_to_be_read_has_letters_of_36_points() {
    let view = views::remarks();
    let picture = draw(&view, &views::shelf(), DESIGNED);
    let letters = |words: &str| written(&picture, words).galley.job.sections[0].format.font_id.size;
    let remark = view.remarks[0].text.split_inclusive(". ").next().expect("it has a sentence").trim_end();
    for words in [remark, "−18", "−2.9", "6.2", "51"] {
        assert!(letters(words) >= 36.0, "“{words}”: {}", letters(words));
    }
    let figures: Vec<String> =
        texts(&picture).into_iter().filter(|text| text.starts_with(['+', '−'])).collect();
    assert!(figures.iter().all(|figure| letters(figure) >= 36.0), "{figures:?}");
    for group in OctaveGroup::ALL {
        assert!(letters(group.name()) >= 20.0);
    }
}

#[test]
fn groups_outside_are_square_with_a_figure_and_the_others_round() {
    let view = views::working();
    let picture = draw(&view, &views::shelf(), DESIGNED);
    let groups = &view.comparison.as_ref().expect("a yardstick is in use").groups;
    let outside: Vec<_> = groups.iter().filter(|group| group.outside).collect();
    assert_eq!(
        outside.iter().map(|group| group.group).collect::<Vec<_>>(),
        [OctaveGroup::UpperMids],
        "as planted"
    );
    assert_eq!(squares(&picture), 1);
    assert_eq!(circles(&picture, |circle| circle.fill == LAMP.ink), 4);
    assert!(texts(&picture).contains(&format!("+{:.0}", outside[0].off_db)));
}

/// What the remark speaks of is marked, and a figure outside has its square.
#[test]
fn what_the_remark_says_of_mono_has_its_ring_and_squeezed_loud_parts_their_square() {
    let view = views::remarks();
    let picture = draw(&view, &views::shelf(), DESIGNED);
    assert!(view.remarks[0].text.contains("in mono"), "as planted");
    assert_eq!(
        circles(&picture, |circle| circle.stroke.color == LAMP.accent),
        2,
        "a group's, and the fold's"
    );
    assert!(has_text(&picture, "in mono"));
    let outside =
        view.comparison.as_ref().expect("a yardstick is in use").groups.iter().filter(|g| g.outside);
    assert_eq!(squares(&picture), outside.count() + 1);
    assert!(texts(&picture).iter().filter(|text| *text == "dB").count() >= 2, "{:?}", texts(&picture));
}

#[test]
fn what_does_not_exist_is_a_dash_and_it_is_said_what_is_missing() {
    let picture = draw(&views::just_opened(), &Choice::default(), DESIGNED);
    assert_eq!(texts(&picture).iter().filter(|text| *text == "–").count(), 3 + 5, "{:?}", texts(&picture));
    assert!(has_text(&picture, "Not enough of the song heard yet."));
    let alone = draw(&views::no_yardstick(), &Choice::default(), DESIGNED);
    assert!(has_text(&alone, "no yardstick"));
    assert_eq!(circles(&alone, |circle| circle.fill == LAMP.ink), 5);
}

#[test]
fn a_switch_leads_there_and_a_click_anywhere_back() {
    let mut open = open_with(Look { far: false, ..FAR });
    assert_eq!(open.click("Far view"), [Wish::Look(FAR)]);
    let mut open = open_with(FAR);
    assert_eq!(open.click("mids"), [Wish::Look(Look { far: false, ..FAR })]);
    let mut open = open_with(FAR);
    assert_eq!(open.click("Near view"), [Wish::Look(Look { far: false, ..FAR })]);
}
