//! The editor in a window, on a display of its own. It shows that the window opens, is painted, follows the sound
//! and closes; what the picture looks like is judged elsewhere.

use std::io::{BufRead, BufReader};
use std::process::{Child, Command, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};
use std::{collections::HashSet, env};

use x11rb::COPY_DEPTH_FROM_PARENT;
use x11rb::connection::Connection;
use x11rb::protocol::xproto::{ConnectionExt, CreateWindowAux, ImageFormat, WindowClass};
use x11rb::rust_connection::RustConnection;
use x11rb::wrapper::ConnectionExt as _;

use crate::host::{Instance, Placement, blocks};
use crate::material::noises;
use crate::state::{a_yardstick, load, with_yardstick};

/// An X server without a screen, ended with this value.
struct Display {
    server: Child,
    number: u32,
}

impl Display {
    fn start() -> Self {
        let mut server = Command::new("Xvfb")
            .args(["-displayfd", "1", "-screen", "0", "1280x1024x24", "-nolisten", "tcp", "-noreset"])
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
}

impl Drop for Display {
    fn drop(&mut self) {
        // It may have ended by itself; then there is nothing to do.
        let _ = self.server.kill();
        let _ = self.server.wait();
    }
}

/// A window of the host's, for the editor to be put into.
struct Parent {
    connection: RustConnection,
    window: u32,
}

const WIDTH: u16 = 1000;
const HEIGHT: u16 = 1000;

impl Parent {
    fn open() -> Self {
        let (connection, screen) = x11rb::connect(None).expect("the display can be reached");
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
                WIDTH,
                HEIGHT,
                0,
                WindowClass::INPUT_OUTPUT,
                0,
                &black,
            )
            .expect("a window can be made");
        connection.map_window(window).expect("it can be shown");
        connection.sync().expect("the display answers");
        Self { connection, window }
    }

    /// The window's pixels, the editor in it included.
    fn pixels(&self) -> Vec<u8> {
        let image = self
            .connection
            .get_image(ImageFormat::Z_PIXMAP, self.window, 0, 0, WIDTH, HEIGHT, !0)
            .expect("the display answers")
            .reply()
            .expect("the window can be read");
        image.data
    }

    fn colours(&self) -> usize {
        self.pixels().chunks(4).collect::<HashSet<_>>().len()
    }
}

/// Waits until `done`, while the plugin gets its main thread.
fn wait_for(instance: &mut Instance, what: &str, mut done: impl FnMut() -> bool) {
    let begun = Instant::now();
    while !done() {
        assert!(begun.elapsed() < Duration::from_secs(20), "{what} did not come in 20 s");
        instance.serve_main_thread();
        sleep(Duration::from_millis(20));
    }
}

/// Marks the process that has the display.
const INSIDE: &str = "CANDLEMARK_TEST_INSIDE_DISPLAY";

#[test]
fn the_editor_opens_follows_the_sound_and_closes() {
    if env::var_os(INSIDE).is_some() {
        return inside();
    }
    let display = Display::start();
    // A process of its own: where the display is, is told by the environment.
    let test = "window::the_editor_opens_follows_the_sound_and_closes";
    let output = Command::new(env::current_exe().expect("the test knows its own file"))
        .args(["--exact", test, "--nocapture"])
        .env(INSIDE, "1")
        .env("DISPLAY", format!(":{}", display.number))
        .env_remove("WAYLAND_DISPLAY")
        .output()
        .expect("the test can run itself");
    let printed = String::from_utf8_lossy(&output.stdout);
    let complaint = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success() && printed.contains("1 passed"), "{printed}{complaint}");
}

fn inside() {
    let parent = Parent::open();
    assert_eq!(parent.colours(), 1, "an empty window");
    let mut instance = Instance::new(2);
    instance.activate(48_000.0);
    for yardstick in [String::new(), a_yardstick(), String::new()] {
        assert!(load(&mut instance, &with_yardstick(&yardstick.clone().into())));
        let size = instance.open_editor(parent.window);
        assert!(size.width > 100 && size.height > 100, "{size:?}");
        wait_for(&mut instance, "a picture", || parent.colours() > 10);

        // The clock alone changes a few hundred bytes; the bands of a song that has been heard, many thousand.
        let silent = parent.pixels();
        let input = noises(2, 3, 48_000 * 10);
        instance.play(&input, &blocks(48_000 * 10, &[512]), Placement::InPlace);
        wait_for(&mut instance, "the song's balance", || {
            let changed = parent.pixels().iter().zip(&silent).filter(|(now, then)| now != then).count();
            changed > 20_000
        });
        if let Some(path) = env::var_os("CANDLEMARK_TEST_PICTURE").filter(|_| !yardstick.is_empty()) {
            let rgb: Vec<u8> =
                parent.pixels().chunks(4).flat_map(|bgrx| [bgrx[2], bgrx[1], bgrx[0]]).collect();
            let mut picture = format!("P6 {WIDTH} {HEIGHT} 255\n").into_bytes();
            picture.extend(rgb);
            std::fs::write(path, picture).expect("the picture can be kept");
        }

        instance.close_editor();
        wait_for(&mut instance, "an empty window", || parent.colours() == 1);
        instance.activate(96_000.0);
        instance.activate(48_000.0);
    }
}
