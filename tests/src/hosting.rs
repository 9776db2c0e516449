//! One instance in a host that opens its editor and keeps its state, whatever host it is.

use std::thread::sleep;
use std::time::{Duration, Instant};

use crate::audition::Place;
use crate::passing::Passes;
use crate::x11::{MOVED, Parent};

/// How long anything may take that a person would wait for.
const PATIENCE: Duration = Duration::from_secs(30);

/// One instance of the plugin in a host with a window and a project.
pub trait Hosts: Passes {
    /// Does what the plugin has asked of the host's main thread.
    fn serve(&mut self);
    /// Opens the editor in an X11 window.
    fn open(&mut self, parent: u32);
    /// Closes it.
    fn close(&mut self);
    /// What a project keeps.
    fn save(&mut self) -> Vec<u8>;
    /// Gives it that; whether it was taken.
    fn load(&mut self, saved: &[u8]) -> bool;
}

/// Waits until `done`, while the plugin gets its main thread.
pub fn wait_for(host: &mut impl Hosts, what: &str, mut done: impl FnMut() -> bool) {
    let begun = Instant::now();
    while !done() {
        assert!(begun.elapsed() < PATIENCE, "{what} did not come in {PATIENCE:?}");
        host.serve();
        sleep(Duration::from_millis(10));
    }
}

/// A stereo instance, set up, with its editor open in a window and painted.
pub fn opened<H: Hosts>(parent: &Parent) -> H {
    let mut host = H::new(2);
    host.activate(48_000.0);
    open(&mut host, parent);
    host
}

/// Opens the editor in a window, and waits until it is painted.
pub fn open(host: &mut impl Hosts, parent: &Parent) {
    assert_eq!(parent.colours(), 1, "an empty window");
    host.open(parent.window());
    wait_for(host, "a picture", || parent.colours() > 10);
}

/// Closes the editor, and waits until it has left the window.
pub fn close(host: &mut impl Hosts, parent: &Parent) {
    host.close();
    wait_for(host, "an empty window", || parent.colours() == 1);
}

/// Waits until the song that `play` plays has come into the open editor's picture.
pub fn follows<H: Hosts>(host: &mut H, parent: &Parent, play: impl FnOnce(&mut H)) {
    let silent = parent.pixels();
    play(host);
    wait_for(host, "the song's balance", || parent.changes_since(&silent) > MOVED);
}

/// A hand is no faster than the window is painted, also where the machine is busy.
fn rest_of_hand(host: &mut impl Hosts) {
    let begun = Instant::now();
    wait_for(host, "half a second", || begun.elapsed() > Duration::from_millis(500));
}

/// Clicks where a hand would, with its rests.
pub fn click(host: &mut impl Hosts, parent: &Parent, Place { x, y }: Place) {
    parent.move_pointer(x, y);
    rest_of_hand(host);
    parent.press();
    rest_of_hand(host);
    parent.release();
    rest_of_hand(host);
}
