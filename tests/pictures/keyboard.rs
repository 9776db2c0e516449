//! The keyboard: every control has a name and is reached, seen to have the focus, and operated without the space bar.

use std::collections::BTreeSet;

use candlemark_editor::{Look, Wish};
use egui::accesskit::{Action, NodeId, TreeUpdate};
use egui::{Key, Shape, Stroke};

use crate::open::{Open, open, open_with};
use crate::{LAMP, SEEN};

fn name(tree: &TreeUpdate, id: NodeId) -> String {
    let node = tree.nodes.iter().find(|(other, _)| *other == id).map(|(_, node)| node);
    node.and_then(|node| node.label().or(node.value())).unwrap_or_default().to_owned()
}

/// Names of what can be operated.
fn operable(open: &mut Open) -> BTreeSet<String> {
    let tree = open.tree();
    let nodes =
        tree.nodes.iter().filter(|(_, node)| node.supports_action(Action::Click) && !node.is_disabled());
    nodes.map(|(id, _)| name(&tree, *id)).collect()
}

/// Goes on with Tab until it comes round; gives what had the focus.
fn walk(open: &mut Open) -> Vec<String> {
    let mut walked: Vec<String> = Vec::new();
    for _ in 0..60 {
        open.key(Key::Tab);
        let tree = open.tree();
        let name = name(&tree, tree.focus);
        if walked.first() == Some(&name) {
            break;
        }
        walked.push(name);
    }
    walked
}

fn focus(open: &mut Open, wanted: &str) {
    for _ in 0..60 {
        open.key(Key::Tab);
        let tree = open.tree();
        if name(&tree, tree.focus) == wanted {
            return;
        }
    }
    panic!("“{wanted}” is not reached");
}

#[test]
fn every_control_has_a_name_and_is_reached_by_tab() {
    for look in [SEEN, Look::default(), Look { far: true, ..SEEN }] {
        let mut open = open_with(look);
        let all = operable(&mut open);
        assert!(!all.contains(""), "nameless: {all:?}");
        let walked: BTreeSet<String> = walk(&mut open).into_iter().filter(|name| !name.is_empty()).collect();
        let missed: Vec<&String> = all.difference(&walked).collect();
        assert!(missed.is_empty(), "not reached: {missed:?}; reached: {walked:?}");
        assert!(all.contains("Settings"), "{all:?}");
    }
}

#[test]
fn what_has_the_focus_is_seen_to_have_it() {
    let mut open = open();
    let rings = |open: &mut Open| {
        let line = Stroke::new(2.0, LAMP.ink);
        let (shapes, _) = open.frame(Vec::new());
        let ring = |shape: &Shape| match shape {
            Shape::Rect(rect) if rect.stroke == line => Some(rect.rect),
            _ => None,
        };
        shapes.iter().filter_map(|clipped| ring(&clipped.shape)).collect::<Vec<_>>()
    };
    assert_eq!(rings(&mut open), []);
    focus(&mut open, "Aside");
    let at = open.find("Aside").expect("it is written");
    assert!(matches!(rings(&mut open)[..], [ring] if ring.contains(at)));
}

#[test]
fn enter_operates_and_the_space_bar_does_not() {
    let mut open = open();
    focus(&mut open, "Aside");
    assert_eq!(open.key(Key::Space), []);
    assert_eq!(open.key(Key::Enter), [Wish::TellAside(true)]);
    focus(&mut open, "Hold pass");
    assert_eq!(open.key(Key::Space), []);
    assert_eq!(open.key(Key::Enter), [Wish::Pause(true)]);
}

#[test]
fn the_settings_are_reached_by_keys_alone() {
    let mut open = open();
    let look = open.look;
    focus(&mut open, "Settings");
    assert_eq!(open.key(Key::Enter), [], "it only opens");
    focus(&mut open, "150 %");
    assert_eq!(open.key(Key::Enter), [Wish::Look(Look { zoom_percent: 150, ..look })]);
    focus(&mut open, "Far view");
    assert_eq!(open.key(Key::Enter), [Wish::Look(Look { far: true, ..look })]);
    open.look.far = true;
    focus(&mut open, "Back to the near view");
    assert_eq!(open.key(Key::Enter), [Wish::Look(look)]);
}

#[test]
fn the_yardstick_is_picked_by_keys_alone() {
    let mut open = open();
    focus(&mut open, "Yardstick");
    assert_eq!(open.key(Key::Enter), []);
    focus(&mut open, "a louder evening");
    assert_eq!(open.key(Key::Enter), [Wish::Use("a louder evening".into())]);
}
