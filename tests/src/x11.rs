//! An X server of a test's own, a window for an editor to be put into, and a hand on the mouse and the keyboard.

use std::collections::HashSet;
use std::io::{BufRead, BufReader};
use std::process::{Child, Command, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

use candlemark_clerk::READ_OUT_VARIABLE;
use x11rb::COPY_DEPTH_FROM_PARENT;
use x11rb::connection::{Connection, RequestConnection};
use x11rb::protocol::xproto::{
    BUTTON_PRESS_EVENT, BUTTON_RELEASE_EVENT, ConfigureWindowAux, ConnectionExt as _, CreateWindowAux,
    ImageFormat, InputFocus, KEY_PRESS_EVENT, KEY_RELEASE_EVENT, MOTION_NOTIFY_EVENT, StackMode, WindowClass,
};
use x11rb::protocol::xtest::{self, ConnectionExt as _};
use x11rb::rust_connection::RustConnection;
use x11rb::wrapper::ConnectionExt as _;

use crate::command::HOME_VARIABLE;
use crate::own_process::in_its_own_process;
use crate::taken::threads;

/// An X server without a screen, ended with this value. It ends by itself as well when whoever was connected to it is
/// gone, so that a test that is ended leaves none behind.
pub struct Display {
    server: Child,
    number: u32,
}

impl Display {
    /// Starts a server with one screen of 1280 × 1024 pixels.
    pub fn start() -> Self {
        let mut server = Command::new("Xvfb")
            .args(["-displayfd", "1", "-screen", "0", "1280x1024x24", "-nolisten", "tcp", "-terminate"])
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("the editor's test needs Xvfb (in Debian the package xvfb)");
        let mut line = String::new();
        let printed = server.stdout.take().expect("its output is piped");
        BufReader::new(printed).read_line(&mut line).expect("Xvfb says which display it is");
        let number = line.trim().parse().unwrap_or_else(|_| panic!("Xvfb did not start; it says {line:?}"));
        Self { server, number }
    }

    /// Its name, as `DISPLAY` has it.
    pub fn name(&self) -> String {
        format!(":{}", self.number)
    }
}

impl Drop for Display {
    fn drop(&mut self) {
        // It may have ended by itself; then there is nothing to do.
        let _ = self.server.kill();
        let _ = self.server.wait();
    }
}

/// Runs the body of a test on a display of its own, and with a shelf of its own that is empty; what the plugin shows, it
/// writes there too. `test` is the test's name with its modules.
///
/// The body runs in a process of its own: where the display is, is told by the environment.
pub fn on_a_display_of_its_own(test: &str, body: impl FnOnce()) {
    on_a_display_and_with(test, &[], body);
}

/// The same, in a process that is told these settings as well.
pub fn on_a_display_and_with(test: &str, settings: &[(&str, &str)], body: impl FnOnce()) {
    in_its_own_process(
        test,
        |command| {
            let display = Display::start();
            let shelf = tempfile::tempdir().expect("a folder can be made");
            command
                .envs(settings.iter().copied())
                .env("DISPLAY", display.name())
                .env(HOME_VARIABLE, shelf.path())
                .env(READ_OUT_VARIABLE, shelf.path())
                .env_remove("WAYLAND_DISPLAY");
            (display, shelf)
        },
        || {
            let before = threads();
            body();
            wait_for_threads(before);
        },
    );
}

/// Waits until there are no more threads than before. The thread of an editor's window may outlive the window for a
/// moment (the window library does not always wait for it), and a process that exits meanwhile crashes in the graphics
/// driver that the thread is unloading.
fn wait_for_threads(before: usize) {
    let begun = Instant::now();
    while threads() > before {
        assert!(begun.elapsed() < Duration::from_secs(20), "what was opened has left threads behind");
        sleep(Duration::from_millis(5));
    }
}

/// So many bytes of a picture change when the bands of a song come into it. The clock alone changes a few hundred.
pub const MOVED: usize = 20_000;

/// In how many bytes two pictures differ.
pub fn changes(now: &[u8], before: &[u8]) -> usize {
    now.iter().zip(before).filter(|(now, before)| now != before).count()
}

/// A window of the host's, black, for the editor to be put into.
pub struct Parent {
    connection: RustConnection,
    root: u32,
    window: u32,
}

impl Parent {
    /// Its width in pixels.
    pub const WIDTH: u16 = 1200;
    /// Its height in pixels.
    pub const HEIGHT: u16 = 1000;

    /// Opens it on the display of this name, or on the one that `DISPLAY` names.
    pub fn open(display: Option<&str>) -> Self {
        let (connection, screen) = x11rb::connect(display).expect("the display can be reached");
        let root = connection.setup().roots[screen].root;
        let window = connection.generate_id().expect("there are identifiers left");
        let black = CreateWindowAux::new().background_pixel(0);
        connection
            .create_window(
                COPY_DEPTH_FROM_PARENT,
                window,
                root,
                0,
                0,
                Self::WIDTH,
                Self::HEIGHT,
                0,
                WindowClass::INPUT_OUTPUT,
                0,
                &black,
            )
            .expect("a window can be made");
        connection.map_window(window).expect("it can be shown");
        connection.sync().expect("the display answers");
        Self { connection, root, window }
    }

    /// Puts it over all other windows.
    pub fn raise(&self) {
        let over = ConfigureWindowAux::new().stack_mode(StackMode::ABOVE);
        self.connection
            .configure_window(self.window, &over)
            .expect("the display answers")
            .check()
            .expect("the window can be raised");
    }

    /// Its identifier.
    pub fn window(&self) -> u32 {
        self.window
    }

    /// The window's pixels, the editor in it included: blue, green, red and nothing, a byte each.
    pub fn pixels(&self) -> Vec<u8> {
        let image = self
            .connection
            .get_image(ImageFormat::Z_PIXMAP, self.window, 0, 0, Self::WIDTH, Self::HEIGHT, !0)
            .expect("the display answers")
            .reply()
            .expect("the window can be read");
        image.data
    }

    /// How many different colours it shows.
    pub fn colours(&self) -> usize {
        self.pixels().chunks(4).collect::<HashSet<_>>().len()
    }

    /// In how many bytes its pixels have changed.
    pub fn changes_since(&self, before: &[u8]) -> usize {
        changes(&self.pixels(), before)
    }

    /// Moves the mouse's pointer to a place in the window, in pixels from its upper left corner.
    pub fn move_pointer(&self, x: i16, y: i16) {
        let place = self
            .connection
            .translate_coordinates(self.window, self.root, x, y)
            .expect("the display answers")
            .reply()
            .expect("the window is on the screen");
        // Without detail, the place is counted from the screen's corner and not from where the pointer is.
        self.input(MOTION_NOTIFY_EVENT, 0, (place.dst_x, place.dst_y));
    }

    /// Presses the mouse's first button, where the pointer is.
    pub fn press(&self) {
        self.input(BUTTON_PRESS_EVENT, FIRST_BUTTON, (0, 0));
    }

    /// Lets go of the mouse's first button, wherever the pointer is.
    pub fn release(&self) {
        self.input(BUTTON_RELEASE_EVENT, FIRST_BUTTON, (0, 0));
    }

    /// Presses the keys of these letters, digits and spaces one after the other, in whichever window has the keyboard. Large
    /// letters take two keys, and are not to be had.
    pub fn write(&self, words: &str) {
        for letter in words.chars() {
            self.key(letter.into());
        }
    }

    /// Presses the key that ends a line, and lets go of it.
    pub fn enter(&self) {
        self.key(RETURN);
    }

    /// Presses the key that has this symbol by itself, and lets go of it.
    fn key(&self, symbol: u32) {
        let setup = self.connection.setup();
        let (first, last) = (setup.min_keycode, setup.max_keycode);
        let map = self
            .connection
            .get_keyboard_mapping(first, last - first + 1)
            .expect("the display answers")
            .reply()
            .expect("it has a keyboard");
        let mut keys = map.keysyms.chunks(map.keysyms_per_keycode.into());
        let index = keys.position(|symbols| symbols.first() == Some(&symbol));
        let code = first + index.unwrap_or_else(|| panic!("no key has the symbol {symbol:#x}")) as u8;
        self.input(KEY_PRESS_EVENT, code, (0, 0));
        self.input(KEY_RELEASE_EVENT, code, (0, 0));
    }

    /// Gives the window the keyboard, which the editor in it loses if it had it.
    pub fn take_keyboard(&self) {
        self.connection
            .set_input_focus(InputFocus::PARENT, self.window, x11rb::CURRENT_TIME)
            .expect("the display answers")
            .check()
            .expect("the window can have the keyboard");
    }

    /// Stops the display for everyone else, as a display does that hangs, or lets it go on.
    pub fn freezes(&self, frozen: bool) {
        let asked = if frozen { self.connection.grab_server() } else { self.connection.ungrab_server() };
        asked.expect("the display answers").check().expect("the display can be had alone");
    }

    fn input(&self, event: u8, detail: u8, place: (i16, i16)) {
        input(&self.connection, self.root, event, detail, place);
    }
}

/// Does with the mouse or the keyboard what a hand would, by the server's XTEST extension.
pub fn input(connection: &RustConnection, root: u32, event: u8, detail: u8, (x, y): (i16, i16)) {
    let known = connection.extension_information(xtest::X11_EXTENSION_NAME).expect("the display answers");
    assert!(known.is_some(), "the X server has no XTEST extension, which moves the mouse");
    connection
        .xtest_fake_input(event, detail, x11rb::CURRENT_TIME, root, x, y, 0)
        .expect("the display answers")
        .check()
        .expect("the mouse can be moved");
}

/// The mouse's first.
pub const FIRST_BUTTON: u8 = 1;
/// X11's symbol of the key that ends a line (X.Org, keysymdef.h).
const RETURN: u32 = 0xff0d;

#[cfg(test)]
mod tests {
    use x11rb::protocol::Event;
    use x11rb::protocol::xproto::{ChangeWindowAttributesAux, EventMask};

    use super::*;

    fn next_event(parent: &Parent) -> Event {
        let begun = Instant::now();
        loop {
            if let Some(event) = parent.connection.poll_for_event().expect("the display answers") {
                return event;
            }
            assert!(begun.elapsed() < Duration::from_secs(10), "no event came in 10 s");
            sleep(Duration::from_millis(5));
        }
    }

    #[test]
    fn the_mouse_is_moved_pressed_and_let_go_where_it_was_said() {
        let display = Display::start();
        let parent = Parent::open(Some(&display.name()));
        let wanted = EventMask::POINTER_MOTION | EventMask::BUTTON_PRESS | EventMask::BUTTON_RELEASE;
        let aux = ChangeWindowAttributesAux::new().event_mask(wanted);
        parent.connection.change_window_attributes(parent.window, &aux).expect("the display answers");

        parent.move_pointer(123, 456);
        parent.press();
        parent.move_pointer(124, 450);
        parent.release();
        let Event::MotionNotify(moved) = next_event(&parent) else { panic!("it did not move") };
        assert_eq!((moved.event_x, moved.event_y), (123, 456));
        let Event::ButtonPress(pressed) = next_event(&parent) else { panic!("it was not pressed") };
        assert_eq!((pressed.detail, pressed.event_x, pressed.event_y), (1, 123, 456));
        let Event::MotionNotify(moved) = next_event(&parent) else { panic!("it did not move again") };
        assert_eq!((moved.event_x, moved.event_y), (124, 450));
        let Event::ButtonRelease(released) = next_event(&parent) else { panic!("it was not let go") };
        assert_eq!((released.detail, released.event_x, released.event_y), (1, 124, 450));
    }

    #[test]
    fn a_fresh_window_is_black() {
        let display = Display::start();
        let parent = Parent::open(Some(&display.name()));
        let pixels = parent.pixels();
        assert_eq!(pixels.len(), usize::from(Parent::WIDTH) * usize::from(Parent::HEIGHT) * 4);
        assert_eq!(parent.colours(), 1);
        assert_eq!(pixels[..3], [0, 0, 0]);
    }
}
