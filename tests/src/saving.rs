//! That a host knows when there is something to save: by the parameter that counts it, and by nothing else.

use candlemark_editor::Look;
use serde_json::Value;

use crate::audition::{Place, place_after};
use crate::hosting::{Hosts, click, close, open, opened};
use crate::passing::still_passes;
use crate::states::field;
use crate::x11::Parent;

/// Where the hint for the first time lies, over whatever is in the window.
pub const HINT: Place = Place { x: 300, y: 20 };

/// What the host has been told of changes, once it has handed it back with a block that it plays. `state` is the text of what a
/// project keeps.
pub fn changes<H: Hosts>(host: &mut H, state: fn(&[u8]) -> &[u8]) -> u64 {
    still_passes(host, "with the change in it");
    let saved: Value = serde_json::from_slice(state(&host.save())).expect("a state is JSON");
    saved["params"]["changed"]["i32"].as_u64().expect("it counts changes")
}

/// Chooses the other palette, and opens a project: one is to be saved, the other is not.
pub fn what_is_chosen_is_to_be_saved<H: Hosts>(state: fn(&[u8]) -> &[u8]) {
    let seen = Look { hint_seen: true, ..Look::default() };
    let settings = place_after(&[], "Settings", seen);
    let paper = place_after(&[settings], "paper", seen);
    let parent = Parent::open(None);
    let mut host: H = opened(&parent);
    click(&mut host, &parent, HINT);
    assert_eq!(field(state(&host.save()), "look")["hint_seen"], true);
    assert_eq!(changes(&mut host, state), 0, "the hint is nothing to be asked about");
    click(&mut host, &parent, settings);
    click(&mut host, &parent, paper);
    assert_eq!(field(state(&host.save()), "look")["palette"], "paper");
    assert_eq!(changes(&mut host, state), 1);
    // Whoever opens the project, and has a hand in the window, has changed nothing.
    let project = host.save();
    close(&mut host, &parent);
    drop(host);
    let mut host = H::new(2);
    host.activate(48_000.0);
    assert!(host.load(&project));
    open(&mut host, &parent);
    click(&mut host, &parent, HINT);
    assert_eq!(changes(&mut host, state), 1, "it was only opened");
    close(&mut host, &parent);
}
