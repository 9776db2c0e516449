//! `candlemark-desk` on a display of its own, with its window looked at and closed as a desktop does it.

use std::collections::HashSet;
use std::ffi::OsStr;
use std::io::Read;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::thread::{self, JoinHandle, sleep};
use std::time::{Duration, Instant};

use candlemark_clerk::{READ_OUT_VARIABLE, ReadOut};
use candlemark_tests::command::HOME_VARIABLE;
use candlemark_tests::paths;
use candlemark_tests::signals::Noise;
use candlemark_tests::sound::Sound;
use candlemark_tests::x11::{Display, FIRST_BUTTON, MOVED, changes, input};
use tempfile::TempDir;
use x11rb::connection::Connection;
use x11rb::cookie::Cookie;
use x11rb::protocol::xproto::{
    BUTTON_PRESS_EVENT, BUTTON_RELEASE_EVENT, ClientMessageEvent, ConnectionExt as _, EventMask, ImageFormat,
    MOTION_NOTIFY_EVENT, MapState,
};
use x11rb::rust_connection::RustConnection;
use x11rb::wrapper::ConnectionExt as _;

/// How long anything may take that a person would wait for.
const PATIENCE: Duration = Duration::from_secs(20);

/// A running `candlemark-desk`. Its shelf is empty, and it sees no sound system but what a test gives it.
pub(crate) struct Desk {
    process: Child,
    told: Option<JoinHandle<String>>,
    screen: Screen,
    /// Ends after the process.
    _display: Display,
    home: TempDir,
}

/// What came of it.
pub(crate) struct Ended {
    /// The exit status. `None` when a signal ended it.
    pub(crate) status: Option<i32>,
    /// What it told on standard error.
    pub(crate) told: String,
}

impl Ended {
    /// What it told, where it has ended well.
    #[track_caller]
    pub(crate) fn well(self) -> String {
        assert_eq!(self.status, Some(0), "{}", self.told);
        self.told
    }
}

/// The command, with no display and no sound system.
pub(crate) fn command<A: AsRef<OsStr>>(arguments: impl IntoIterator<Item = A>, home: &Path) -> Command {
    let mut command = Command::new(paths::desk());
    command
        .args(arguments)
        .stdin(Stdio::null())
        .env(HOME_VARIABLE, home)
        .env_remove("DISPLAY")
        .env_remove("WAYLAND_DISPLAY")
        // A configuration that defines nothing, and a server that nobody has started.
        .env("ALSA_CONFIG_PATH", "/dev/null")
        .env("JACK_DEFAULT_SERVER", "candlemark-no-such-server")
        .env("JACK_NO_START_SERVER", "1");
    command
}

/// Runs the command, which must end with status 2 and say these words. Gives all that it told.
#[track_caller]
pub(crate) fn refused(command: &mut Command, parts: &[&str]) -> String {
    let output = command.output().expect("candlemark-desk can be started");
    let told = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!(output.status.code(), Some(2), "{command:?}: {told}");
    for part in parts {
        assert!(told.contains(part), "{command:?}: {part:?} is not in {told:?}");
    }
    told
}

impl Desk {
    /// Starts it with nothing to hear.
    pub(crate) fn start<A: AsRef<OsStr>>(arguments: impl IntoIterator<Item = A>) -> Self {
        Self::start_with(arguments, &[])
    }

    /// Starts it with variables that give it a sound system.
    pub(crate) fn start_with<A: AsRef<OsStr>>(
        arguments: impl IntoIterator<Item = A>,
        variables: &[(&str, &OsStr)],
    ) -> Self {
        let display = Display::start();
        let home = TempDir::new().expect("a temporary folder can be made");
        let mut process = command(arguments, home.path())
            .env("DISPLAY", display.name())
            .env(READ_OUT_VARIABLE, home.path())
            .envs(variables.iter().copied())
            .stdout(Stdio::null())
            .stderr(Stdio::piped())
            .spawn()
            .expect("candlemark-desk can be started");
        let mut stderr = process.stderr.take().expect("it is piped");
        let told = thread::spawn(move || {
            let mut told = String::new();
            stderr.read_to_string(&mut told).expect("what it tells is UTF-8");
            told
        });
        let screen = Screen::of(&display);
        Self { process, told: Some(told), screen, _display: display, home }
    }

    /// The identifier of its process.
    pub(crate) fn id(&self) -> u32 {
        self.process.id()
    }

    /// Waits for its window to be painted as a whole, and gives its pixels.
    pub(crate) fn first_picture(&mut self) -> Vec<u8> {
        let mut last = Vec::new();
        self.wait_for("a picture", |screen| {
            sleep(Duration::from_millis(100));
            let now = screen.pixels().unwrap_or_default();
            let is_painted = now.chunks(4).collect::<HashSet<_>>().len() > 10;
            let is_whole = now.len() == last.len() && changes(&now, &last) < MOVED;
            last = now;
            is_painted && is_whole
        });
        last
    }

    /// The window's pixels now.
    pub(crate) fn picture(&self) -> Vec<u8> {
        self.screen.pixels().expect("the window is there")
    }

    /// Waits until what it shows is such, and gives it. It is told once a second.
    pub(crate) fn wait_until_it_shows(&mut self, what: &str, is_such: impl Fn(&ReadOut) -> bool) -> ReadOut {
        let file = self.home.path().join(format!("{}-0.json", self.id()));
        let mut shown = ReadOut::default();
        self.wait_for(what, |_| {
            let Ok(text) = std::fs::read(&file) else { return false };
            shown = serde_json::from_slice(&text).expect("a read-out is whole at any moment");
            is_such(&shown)
        });
        shown
    }

    /// Clicks at a place in its window, in pixels from the upper left corner, and takes the pointer away again.
    pub(crate) fn click(&self, x: i16, y: i16) {
        for (event, detail, x, y) in [
            (MOTION_NOTIFY_EVENT, 0, x, y),
            (BUTTON_PRESS_EVENT, FIRST_BUTTON, 0, 0),
            (BUTTON_RELEASE_EVENT, FIRST_BUTTON, 0, 0),
            (MOTION_NOTIFY_EVENT, 0, 1, 1),
        ] {
            // Without a desktop around it, the window lies in the screen's corner.
            input(&self.screen.connection, self.screen.root, event, detail, (x, y));
            // A hand is not faster, and the window looks at one thing a frame.
            sleep(Duration::from_millis(150));
        }
    }

    /// Waits until the picture is such.
    pub(crate) fn wait_for_a_picture(&mut self, what: &str, is_such: impl Fn(&[u8]) -> bool) {
        self.wait_for(what, |screen| screen.pixels().is_some_and(|now| is_such(&now)));
    }

    /// Waits until the song's balance has come into the picture.
    pub(crate) fn wait_for_a_song(&mut self, before: &[u8]) {
        self.wait_for("the song's balance", |screen| {
            screen.pixels().is_some_and(|now| changes(&now, before) > MOVED)
        });
    }

    fn wait_for(&mut self, what: &str, mut done: impl FnMut(&Screen) -> bool) {
        let begun = Instant::now();
        while !done(&self.screen) {
            if let Some(status) = self.process.try_wait().expect("its state can be asked for") {
                let told = self.told.take().map(JoinHandle::join);
                panic!("{what} did not come: it has ended ({status}) and told {told:?}");
            }
            assert!(begun.elapsed() < PATIENCE, "{what} did not come in {PATIENCE:?}");
            sleep(Duration::from_millis(20));
        }
    }

    /// Closes its window, as a desktop does when its cross is clicked.
    pub(crate) fn close(self) -> Ended {
        self.screen.ask_to_close();
        self.wait_for_its_end()
    }

    /// Asks the process to end.
    pub(crate) fn terminate(self) -> Ended {
        let sent = Command::new("sh").args(["-c", &format!("kill -TERM {}", self.id())]).status();
        assert!(sent.expect("there is a shell").success(), "it has ended before it was asked to");
        self.wait_for_its_end()
    }

    /// Waits for it to end by itself.
    pub(crate) fn wait_for_its_end(mut self) -> Ended {
        let begun = Instant::now();
        let status = loop {
            if let Some(status) = self.process.try_wait().expect("its state can be asked for") {
                break status;
            }
            assert!(begun.elapsed() < PATIENCE, "it does not end");
            sleep(Duration::from_millis(10));
        };
        let told = self.told.take().expect("it is asked for once").join().expect("its output can be read");
        Ended { status: status.code(), told }
    }
}

impl Drop for Desk {
    fn drop(&mut self) {
        // After a test that failed. Otherwise it has ended.
        let _ = self.process.kill();
        let _ = self.process.wait();
    }
}

/// A display, with the one window that is on it.
struct Screen {
    connection: RustConnection,
    root: u32,
}

impl Screen {
    fn of(display: &Display) -> Self {
        let (connection, screen) = x11rb::connect(Some(&display.name())).expect("the display can be reached");
        let root = connection.setup().roots[screen].root;
        Self { connection, root }
    }

    /// The window that can be seen, if there is one yet.
    fn window(&self) -> Option<u32> {
        let tree = self.connection.query_tree(self.root).ok()?.reply().ok()?;
        tree.children.into_iter().find(|window| {
            let attributes = self.connection.get_window_attributes(*window).map(Cookie::reply);
            matches!(attributes, Ok(Ok(attributes)) if attributes.map_state == MapState::VIEWABLE)
        })
    }

    fn pixels(&self) -> Option<Vec<u8>> {
        let window = self.window()?;
        let size = self.connection.get_geometry(window).ok()?.reply().ok()?;
        let image = self
            .connection
            .get_image(ImageFormat::Z_PIXMAP, window, 0, 0, size.width, size.height, !0)
            .ok()?
            .reply()
            .ok()?;
        Some(image.data)
    }

    fn ask_to_close(&self) {
        let window = self.window().expect("there is a window");
        let atom = |name: &str| {
            let cookie = self.connection.intern_atom(false, name.as_bytes()).expect("the display answers");
            cookie.reply().expect("it has the name").atom
        };
        let message = ClientMessageEvent::new(
            32,
            window,
            atom("WM_PROTOCOLS"),
            [atom("WM_DELETE_WINDOW"), x11rb::CURRENT_TIME, 0, 0, 0],
        );
        self.connection
            .send_event(false, window, EventMask::NO_EVENT, message)
            .expect("the display can be asked");
        self.connection.sync().expect("the display answers");
    }
}

/// The rate of the tests' own sounds, in hertz.
pub(crate) const RATE: f64 = 48_000.0;

/// Noise, different in both channels, that begins with a sample other than 0 and is kept exactly by 16-bit files.
pub(crate) fn noise(seconds: f64, seed: u64) -> Sound {
    let mut noise = Noise::new(seed);
    let mut channel = || {
        let mut samples = noise.white((seconds * RATE) as usize, 0.1);
        for sample in &mut samples {
            *sample = (*sample * 32_768.0).round().clamp(-32_767.0, 32_767.0) / 32_768.0;
        }
        samples[0] = 0.25;
        samples
    };
    let (left, right) = (channel(), channel());
    Sound::stereo(RATE, left, right)
}
