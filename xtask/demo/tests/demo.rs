//! The demo as a person runs it, with the built plugin.

use std::fs;
use std::path::Path;
use std::process::{Child, Command, Output, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

use candlemark_tests::signals::Noise;
use candlemark_tests::sound::Sound;
use candlemark_tests::x11::Display;
use x11rb::connection::Connection as _;
use x11rb::protocol::xproto::{AtomEnum, ClientMessageEvent, ConnectionExt as _, EventMask, ImageFormat};
use x11rb::rust_connection::RustConnection;

/// The demo, whose things go into this folder, without a display.
fn demo(folder: &Path) -> Command {
    let mut demo = Command::new(env!("CARGO_BIN_EXE_candlemark-demo"));
    demo.arg("--into").arg(folder).env_remove("DISPLAY").env_remove("WAYLAND_DISPLAY").stdin(Stdio::null());
    // A person's shelf is not the tests' business.
    demo.env("CANDLEMARK_HOME", folder.join("a person"));
    demo
}

fn printed(output: &Output) -> String {
    let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).expect("what it prints is UTF-8");
    text(&output.stdout) + &text(&output.stderr)
}

/// Seconds of noise, in a file.
fn noise(folder: &Path, seconds: usize) -> std::path::PathBuf {
    let path = folder.join("noise.wav");
    let mut noise = Noise::new(4);
    let side = |noise: &mut Noise| noise.white(seconds * 48_000, 0.1);
    Sound::stereo(48_000.0, side(&mut noise), side(&mut noise)).write_wav(&path);
    path
}

/// Width and height that a PNG says it has.
fn size_of_picture(path: &Path) -> [u32; 2] {
    let bytes = fs::read(path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    assert_eq!(bytes[..8], *b"\x89PNG\r\n\x1a\n");
    [16, 20].map(|at| u32::from_be_bytes(bytes[at..at + 4].try_into().expect("four bytes")))
}

#[test]
fn its_own_music_has_its_faults_named() {
    let folder = tempfile::tempdir().expect("there is a place for files");
    let output = demo(folder.path()).output().expect("it can be started");
    let printed = printed(&output);
    println!("{printed}");
    assert!(output.status.success(), "{printed}");
    for said in ["bit for bit", "from 0:48: remark 1", "All of them, and nothing else."] {
        assert!(printed.contains(said), "it does not say {said:?}: {printed}");
    }
    assert_eq!(size_of_picture(&folder.path().join("candlemark.png")), [1084, 680]);
    assert!(folder.path().join("home/yardsticks").read_dir().expect("there is a shelf").count() == 1);
    assert!(!folder.path().join("a person").exists(), "a person's shelf was touched");
    assert_eq!(
        folder.path().join("read-out").read_dir().expect("it is a folder").count(),
        0,
        "it is left behind"
    );
}

#[test]
fn a_file_is_played_and_judged_by_nothing_but_itself() {
    let folder = tempfile::tempdir().expect("there is a place for files");
    let file = noise(folder.path(), 30);
    let output = demo(folder.path()).arg(&file).output().expect("it can be started");
    let said = printed(&output);
    assert!(output.status.success() && said.contains("bit for bit"), "{said}");
    assert!(said.contains("It has nothing to say of it.") && said.contains("Beside no yardstick"), "{said}");
    assert_eq!(size_of_picture(&folder.path().join("candlemark.png")), [1084, 680]);
}

#[test]
fn where_the_display_can_not_be_reached_a_picture_serves() {
    let folder = tempfile::tempdir().expect("there is a place for files");
    let file = noise(folder.path(), 10);
    let mut demo = demo(folder.path());
    let output = demo.arg(&file).env("DISPLAY", ":4999").output().expect("it can be started");
    let said = printed(&output);
    assert!(output.status.success() && said.contains("a picture is drawn instead"), "{said}");
    assert_eq!(size_of_picture(&folder.path().join("candlemark.png")), [1084, 680]);
}

#[test]
fn what_can_not_be_done_is_said() {
    let folder = tempfile::tempdir().expect("there is a place for files");
    let file = noise(folder.path(), 4);
    let missing = folder.path().join("missing.wav");
    let said_of = |demo: &mut Command| {
        let output = demo.output().expect("it can be started");
        assert!(!output.status.success());
        printed(&output)
    };
    let said = said_of(demo(folder.path()).arg(&missing));
    assert!(said.contains("missing.wav"), "{said}");
    let said = said_of(demo(folder.path()).arg(&file).args(["--yardstick", "of nobody"]));
    assert!(said.contains("of nobody"), "{said}");
    let said = said_of(demo(folder.path()).arg(&file).env("CANDLEMARK_CLAP", &missing));
    assert!(said.contains("cargo xtask demo"), "{said}");
}

/// The demo's window on a display, once it is there.
struct Seen {
    connection: RustConnection,
    window: u32,
}

impl Seen {
    fn on(display: &Display, demo: &mut Child) -> Self {
        let (connection, screen) = x11rb::connect(Some(&display.name())).expect("the display can be reached");
        let root = connection.setup().roots[screen].root;
        let mut seen = Self { connection, window: 0 };
        seen.wait(demo, "a window", |seen| {
            let windows = seen.connection.query_tree(root).unwrap().reply().unwrap().children;
            let found = windows.into_iter().find(|window| seen.title(*window) == "Candlemark, the demo");
            seen.window = found.unwrap_or_default();
            found.is_some()
        });
        seen
    }

    fn wait(&mut self, demo: &mut Child, what: &str, mut done: impl FnMut(&mut Self) -> bool) {
        let begun = Instant::now();
        while !done(self) {
            assert!(demo.try_wait().expect("it can be asked").is_none(), "it ended before there was {what}");
            assert!(begun.elapsed() < Duration::from_secs(30), "{what} did not come in 30 s");
            sleep(Duration::from_millis(50));
        }
    }

    fn title(&self, window: u32) -> String {
        let name = self.connection.get_property(false, window, AtomEnum::WM_NAME, AtomEnum::STRING, 0, 64);
        // A window may be gone before it is asked.
        let reply = name.expect("the display answers").reply();
        reply.map(|name| String::from_utf8_lossy(&name.value).into_owned()).unwrap_or_default()
    }

    fn colours(&self) -> usize {
        let image = self.connection.get_image(ImageFormat::Z_PIXMAP, self.window, 0, 0, 1084, 680, !0);
        let image = image.expect("the display answers").reply().expect("the window can be read");
        image.data.chunks(4).collect::<std::collections::HashSet<_>>().len()
    }

    /// What a window manager does when the person closes a window.
    fn close(&self) {
        let atom = |name: &[u8]| self.connection.intern_atom(false, name).unwrap().reply().unwrap().atom;
        let data = [atom(b"WM_DELETE_WINDOW"), 0, 0, 0, 0];
        let message = ClientMessageEvent::new(32, self.window, atom(b"WM_PROTOCOLS"), data);
        self.connection
            .send_event(false, self.window, EventMask::NO_EVENT, message)
            .unwrap()
            .check()
            .unwrap();
    }
}

#[test]
fn on_a_display_its_window_is_open_until_it_is_closed() {
    let folder = tempfile::tempdir().expect("there is a place for files");
    let file = noise(folder.path(), 120);
    let display = Display::start();
    let mut demo = demo(folder.path());
    demo.arg(&file).env("DISPLAY", display.name()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut demo = demo.spawn().expect("it can be started");
    let mut seen = Seen::on(&display, &mut demo);
    seen.wait(&mut demo, "a picture in it", |seen| seen.colours() > 10);
    // Some seconds of sound, or there would be nothing to say at the end.
    sleep(Duration::from_secs(3));
    let closed = Instant::now();
    seen.close();
    let output = demo.wait_with_output().expect("it ends");
    let said = printed(&output);
    assert!(output.status.success() && said.contains("bit for bit"), "{said}");
    assert!(closed.elapsed() < Duration::from_secs(30), "it went on for {:?}", closed.elapsed());
    assert!(!folder.path().join("candlemark.png").exists(), "the window was the picture");
}
